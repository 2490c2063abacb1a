// @ts-check
/**
 * Reads the plan of a warm-up from a link that somebody shared, and says what to tell the reader if
 * some of it cannot be used. `draft_link.js` has the form of the link.
 */

import { read } from "./draft_link.js";
import { gettext } from "./words.js";

/** @import { LinkProblem } from "./draft_link.js" */
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
  return { plan: { ...plan, title: plan.title || gettext("Warm-up") }, told: told.join(" ") };
}
