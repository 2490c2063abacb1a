// @ts-check
/**
 * Reads the plan of a warm-up from a link that somebody shared, and says what to tell the reader if
 * some of it cannot be used. `draft_link.js` has the form of the link.
 */

import { shortDate } from "./draft_day.js";
import { read, replacedIn } from "./draft_link.js";
import { tonicsOf } from "./key_path.js";
import { gettext, joined } from "./words.js";

/** @import { LinkProblem, Replaced } from "./draft_link.js" */
/** @import { Draft } from "./drafts.js" */
/** @import { Plan, Planning } from "./planning.js" */

/** @type {Record<LinkProblem, () => string>} */
const LINK_PROBLEMS = {
  newer: () => gettext("This link was made by a newer handbook and cannot be read here. Your drafts are as they were."),
  nothing: () => gettext("Nothing in this link can be read as a warm-up. Ask for the link once more; your drafts are as they were."),
  damaged: () => gettext("A part of this link is damaged. What could be read is here; go through it with whoever sent it."),
  incomplete: () => gettext("This link is incomplete: its end is missing. What could be read is here; ask for the link once more."),
};

/**
 * The link as it was read, without its last item if the link was cut off within the name of that
 * item's exercise, so that only the beginning of the name is there.
 * @param {ReturnType<typeof read>} link
 * @param {string[]} slugs the slugs of all exercises of the handbook
 * @returns {ReturnType<typeof read>}
 */
export function withoutHalfWord({ plan, problems }, slugs) {
  const last = plan.items[plan.items.length - 1]?.exercise;
  const half = last !== undefined && !slugs.includes(last) && slugs.some((slug) => slug.startsWith(last));
  if (!half) return { plan, problems };
  return { plan: { ...plan, items: plan.items.slice(0, -1) }, problems: ["incomplete"] };
}

/** What the page calls the fields that a link may have wrong; the others are called as in a file. @type {Record<string, () => string>} */
const FIELDS = {
  date: () => gettext("Date"),
  starts: () => gettext("Starts at"),
  minutes: () => gettext("Minutes"),
  kind: () => gettext("Kind"),
  join_in: () => gettext("Late singers come in after item"),
  first_chord: () => gettext("The first chord of the piece"),
  present: () => gettext("Who is there"),
  if_time: () => gettext("If time is short"),
  keys: () => gettext("Keys"),
};

/** A value that was not taken over, as a phrase. @param {Replaced} replaced */
function inWords({ name, value, item }) {
  const field = Object.hasOwn(FIELDS, name) ? FIELDS[name]() : name;
  return item ? gettext("{field} of item {n}, “{value}”", { field, n: item, value }) : gettext("{field}, “{value}”", { field, value });
}

/** Keys of items whose lowest or highest key their exercises do not have, as for `check`. @param {Plan} plan @param {Planning} planning @returns {Replaced[]} */
function strayKeys({ items }, { exercises }) {
  return items.flatMap(({ exercise, keys }, place) => {
    const all = Object.hasOwn(exercises, exercise) ? exercises[exercise].tonics : undefined;
    const wanted = keys ? tonicsOf(keys) : null;
    if (!keys || !all || (wanted && [Math.min(...wanted), Math.max(...wanted)].every((tonic) => all.includes(tonic)))) return [];
    return [{ name: "keys", value: keys, item: place + 1 }];
  });
}

/** How a draft came here: by a link that somebody sent, or from a page of this handbook. @param {string} referrer the address of the page before @param {URL} handbook @returns {"link" | "handbook"} */
export function broughtBy(referrer, handbook) {
  return referrer.startsWith(handbook.href) ? "handbook" : "link";
}

/** How the list calls drafts: by date and title, whether they came by link, and a number if another has the same name. @param {Draft[]} drafts @returns {string[]} */
export function draftLabels(drafts) {
  const names = drafts.map(({ plan, from_link }) => [shortDate(plan.date), plan.title, from_link ? gettext("from a link") : ""].filter(Boolean).join(" · "));
  return names.map((name, n) => (names.indexOf(name) === n ? name : `${name} (${names.slice(0, n + 1).filter((one) => one === name).length})`));
}

/**
 * Reads what stands after the "#" of the page's address.
 * @param {string} text
 * @param {Planning} planning
 * @returns {{plan: Plan, told: string} | null} the plan, without items if none can be used, and what to
 *   tell the reader, "" if everything could be used; null if the text is no link to a draft
 */
export function receivedIn(text, planning) {
  if (!/^\d+~/.test(text)) return null;
  const link = read(text);
  const { plan, problems } = withoutHalfWord(link, Object.keys(planning.exercises));
  const told = problems.map((problem) => LINK_PROBLEMS[problem]());
  const gone = plan.items.map(({ exercise }) => exercise).filter((slug) => !Object.hasOwn(planning.exercises, slug));
  if (gone.length) told.push(gettext("Not in this handbook: {exercises}.", { exercises: gone.join(", ") }));
  const stray = strayKeys(plan, planning);
  const replaced = [...(problems.includes("newer") ? [] : replacedIn(text)), ...stray];
  if (replaced.length) told.push(gettext("What this link says here cannot be, and was replaced or left out: {fields}. Look at it before you go on.", { fields: joined(replaced.map(inWords)) }));
  for (const { item } of stray) delete plan.items[item - 1].keys;
  return { plan: { ...plan, title: plan.title || gettext("Warm-up") }, told: told.join(" ") };
}
