// @ts-check
/**
 * Says in sentences how a warm-up was changed for tonight by `late.js` and `tired_voices.js`, and why an
 * exercise could take an item's place (`swaps.js`).
 */

import { MINUTE } from "./clock.js";
import { listed, time } from "./finding_sentences.js";
import { shorten } from "./late.js";
import { FACTS } from "./shared_facts.js";
import { SEMITONES, halfClosed } from "./tired_voices.js";
import { gettext, inside, ngettext } from "./words.js";

/** @import { Shortened } from "./late.js" */
/** @import { Item, Numbers, Planning } from "./planning.js" */
/** @import { Reason, Swap } from "./swaps.js" */
/** @import { Gentler } from "./tired_voices.js" */
/** @import { Tonight } from "./tonight.js" */

/**
 * A reason as a phrase, such as "shorter by 45 s". The phrases are in `shared_facts.js`.
 * @param {Reason} reason
 * @param {string} goal the label of the main goal of the item that is replaced
 * @param {string[]} absent the labels of the voices to do without
 */
export function reasonWords([code, number], goal, absent = []) {
  const words = /** @type {Record<string, string>} */ (FACTS.swaps.words);
  return gettext(words[code], {
    time: code === "rested" ? ngettext("{n} week", "{n} weeks", number) : time(number),
    goal: inside(goal),
    impact: code === "gentler" ? `${number} ${gettext(Reflect.get(FACTS.scales.impact, number))}` : "",
    level: code === "easier" ? gettext(Reflect.get(FACTS.scales.level, number)) : "",
    voices: listed(absent),
  });
}

/**
 * Titles of items with their numbers in the plan: "2 Falling threes; 5 Five vowels". Titles may have commas
 * in them, so semicolons stand between.
 * @param {Tonight} tonight
 * @param {number[]} places
 * @param {Map<number, Item>} [sung] what is sung at these places, if that is not what was planned
 */
function named(tonight, places, sung) {
  return places.map((place) => `${place + 1} ${titleOf(tonight, sung?.get(place) ?? tonight.items[place])}`).join("; ");
}

/** The title of an item's exercise. @param {Tonight} tonight @param {Item} item */
export function titleOf(tonight, item) {
  return tonight.numbers(item.exercise).title;
}

/**
 * Says how a warm-up was shortened because it starts late.
 * @param {Tonight} tonight what was planned
 * @param {Shortened} short
 * @param {Map<number, Item>} [whole] what would be sung on time, by place, if that is not what was planned
 * @returns {string[]}
 */
export function lateSentences(tonight, short, whole = new Map(tonight.items.entries())) {
  const kept = [...short.items].flatMap(([place, item]) => {
    const before = whole.get(place);
    return before ? [{ place, item, before }] : [];
  });
  const keys = (/** @type {Item} */ item) => tonight.tonics(item).length;
  const fewer = kept.filter(({ item, before }) => keys(item) < keys(before)).map(({ place }) => place);
  const through = kept.filter(({ place, item, before }) => item.minutes !== before.minutes && !fewer.includes(place)).map(({ place }) => place);
  const told = [];
  if (short.leftOut.length) told.push(gettext("Left out: {items}.", { items: named(tonight, [...short.leftOut].sort((a, b) => a - b)) }));
  if (through.length) told.push(gettext("Sung through, not taught: {items}.", { items: named(tonight, through, short.items) }));
  if (fewer.length) told.push(gettext("In fewer keys: {items}.", { items: named(tonight, fewer, short.items) }));
  const changed = told.length > 0;
  if ((changed || short.over) && tonight.items.slice(1).some(({ at }) => at)) told.push(gettext("The later block stays as planned, at its own time."));
  if (short.over) told.push(gettext("Even so, it takes {time} longer than there is time for.", { time: time(short.over) }));
  else if (!changed) told.push(gettext("It fits as it is."));
  return told;
}

/** What tired singers, or those with a cold, are told first. @param {"tired" | "colds"} why */
function toAll(why) {
  return why === "colds"
    ? gettext("Whoever has a cold, a cough or a sore throat only listens tonight.")
    : gettext("Sing softly tonight; whoever is hoarse only listens.");
}

/**
 * Says how a warm-up was changed for tired voices, or because colds are going round. Of items that a late
 * start leaves out nothing is said.
 * @param {Tonight} tonight what was planned
 * @param {Gentler} gentle
 * @param {Map<number, Item>} sung what is sung in the end, by place
 * @param {"tired" | "colds"} why
 * @returns {string[]}
 */
export function gentleSentences(tonight, gentle, sung, why) {
  const swapped = [...gentle.swaps].filter(([place]) => sung.has(place)).map(([place, swap]) => swapSentence(tonight, place, swap));
  const notLower = gentle.notLower.filter((place) => sung.has(place));
  const lower = [...sung.keys()].filter(
    (place) => !gentle.swaps.has(place) && !notLower.includes(place) && gentle.items.get(place)?.keys !== tonight.items[place].keys
  );
  const told = [toAll(why)];
  if (lower.length) told.push(gettext("{n} semitones lower: {items}.", { n: SEMITONES, items: named(tonight, lower) }));
  if (notLower.length) {
    told.push(ngettext("{n} item does not begin lower, because the exercise or a voice goes no lower.", "{n} items do not begin lower, because the exercise or a voice goes no lower.", notLower.length));
  }
  told.push(...swapped);
  if (gentle.leftOut.length) {
    told.push(gettext("Left out, because nothing gentler has the same aim: {items}.", { items: named(tonight, gentle.leftOut) }));
  }
  const half = [...halfClosed(tonight, sung).keys()];
  const [one, more] = [half.filter((place) => isInOneKey(place)), half.filter((place) => !isInOneKey(place))];
  if (more.length) told.push(gettext("On a hum, a trill or a straw for the first half of the keys: {items}.", { items: named(tonight, more, sung) }));
  if (one.length) told.push(gettext("First once on a hum, a trill or a straw: {items}.", { items: named(tonight, one, sung) }));
  told.push(gettext("This makes the warm-up lighter, but it heals nobody. Stop if it hurts; in doubt ask a doctor, and follow your local advice."));
  return told;

  /** @param {number} place */
  function isInOneKey(place) {
    const item = sung.get(place);
    return item !== undefined && tonight.tonics(item).length === 1;
  }
}

/** The most signs that a file allows in what is changed about an item. */
const LONGEST_VARIATION = 120;

/**
 * The items, each with what to do about tired voices as its variation, and what all are told as a note of the
 * first, so that it stands wherever the items do: in the order, on the stand, in a draft and in print.
 * @param {Tonight} tonight what was planned
 * @param {Map<number, Item>} sung by place
 * @param {"tired" | "colds"} why
 * @returns {Map<number, Item>}
 */
export function withGentleWords(tonight, sung, why) {
  const half = halfClosed(tonight, sung);
  const [first] = sung.keys();
  return new Map(
    [...sung].map(([place, item]) => {
      const { singing = {} } = tonight.numbers(item.exercise);
      const softly = why === "tired" && Object.keys(singing).length ? gettext("Softly.") : "";
      const added = [softly, halfWords(tonight.tonics(item).length, half.get(place) ?? 0)].filter(Boolean).join(" ");
      const variation = withAdded(added, item.variation);
      const fits = variation.length <= LONGEST_VARIATION;
      const note = withAdded(place === first ? toAll(why) : "", withAdded(fits ? "" : added, item.note));
      return [place, { ...item, ...(fits && variation ? { variation } : {}), ...(note ? { note } : {}) }];
    })
  );
}

/** For how many of its keys an item is first sung on a half-closed sound; "" for none. @param {number} keys @param {number} half */
function halfWords(keys, half) {
  if (!half) return "";
  if (keys === 1) return gettext("First once on a hum, a trill or a straw.");
  return ngettext("On a hum, a trill or a straw in the first key.", "On a hum, a trill or a straw in the first {n} keys.", half);
}

/** A text with another before it, unless it is in it already, as in a draft that was changed before. @param {string} added @param {string} [text] */
function withAdded(added, text = "") {
  return text.includes(added) ? text : [added, text].filter(Boolean).join(" ");
}

/** Says what is sung instead of the item at a place, and why. @param {Tonight} tonight @param {number} place @param {Swap} swap */
function swapSentence(tonight, place, swap) {
  const goal = tonight.planning.goals[tonight.numbers(tonight.items[place].exercise).main_goal ?? ""] ?? "";
  return gettext("Instead of {item}: {other} ({reasons}).", {
    item: named(tonight, [place]),
    other: swap.item.title,
    reasons: swap.reasons.map((reason) => reasonWords(reason, goal)).join("; "),
  });
}

/**
 * What is sung when a warm-up starts late, in one line for paper, as `pages/tonight.py` writes it.
 * @param {Tonight} tonight what was planned
 * @param {number} late by how many minutes
 */
export function lateOnPaper(tonight, late) {
  const short = shorten(tonight, Math.round((tonight.plan.minutes - late) * MINUTE));
  const told = lateSentences(tonight, short);
  if (short.leftOut.length) {
    const items = named(tonight, [...short.leftOut].sort((a, b) => a - b));
    told[0] = ngettext("If you start {n} minute late, leave out: {items}.", "If you start {n} minutes late, leave out: {items}.", late, { items });
  } else told.unshift(ngettext("If you start {n} minute late:", "If you start {n} minutes late:", late, {}));
  return told.join(" ");
}
