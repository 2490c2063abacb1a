// @ts-check
/**
 * Says in sentences how a warm-up was changed for tonight by `late.js` and `tired_voices.js`, and why an
 * exercise could take an item's place (`swaps.js`).
 */

import { MINUTE } from "./clock.js";
import { listed, time } from "./finding_sentences.js";
import { shorten } from "./late.js";
import { FACTS } from "./shared_facts.js";
import { SEMITONES } from "./tired_voices.js";
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

/** Titles of items with their numbers in the plan: "2 Falling threes; 5 Five vowels". Titles may have commas in them, so semicolons stand between. @param {Tonight} tonight @param {number[]} places */
function named(tonight, places) {
  return places.map((place) => `${place + 1} ${titleOf(tonight, tonight.items[place])}`).join("; ");
}

/** The title of an item's exercise. @param {Tonight} tonight @param {Item} item */
export function titleOf(tonight, item) {
  return tonight.numbers(item.exercise).title;
}

/**
 * Says how a warm-up was shortened because it starts late.
 * @param {Tonight} tonight what was planned
 * @param {Shortened} short
 * @returns {string[]}
 */
export function lateSentences(tonight, short) {
  const kept = [...short.items].filter(([place]) => place < tonight.items.length);
  const fewer = kept.filter(([place, item]) => tonight.tonics(item).length < tonight.tonics(tonight.items[place]).length);
  const through = kept.filter(([place, item]) => item.minutes !== tonight.items[place].minutes && !fewer.some(([other]) => other === place));
  const told = [];
  if (short.leftOut.length) told.push(gettext("Left out: {items}.", { items: named(tonight, [...short.leftOut].sort((a, b) => a - b)) }));
  if (through.length) told.push(gettext("Sung through, not taught: {items}.", { items: named(tonight, through.map(([place]) => place)) }));
  if (fewer.length) told.push(gettext("In fewer keys: {items}.", { items: named(tonight, fewer.map(([place]) => place)) }));
  const changed = told.length > 0;
  if ((changed || short.over) && tonight.items.slice(1).some(({ at }) => at)) told.push(gettext("The later block stays as planned, at its own time."));
  if (short.over) told.push(gettext("Even so, it takes {time} longer than there is time for.", { time: time(short.over) }));
  else if (!changed) told.push(gettext("It fits as it is."));
  return told;
}

/**
 * Says how a warm-up was changed for tired voices, or because colds are going round.
 * @param {Tonight} tonight what was planned
 * @param {Gentler} gentle
 * @param {"tired" | "colds"} why
 * @returns {string[]}
 */
export function gentleSentences(tonight, gentle, why) {
  const swapped = [...gentle.swaps].map(([place, swap]) => swapSentence(tonight, place, swap));
  const lower = [...gentle.items.keys()].filter(
    (place) => !gentle.swaps.has(place) && !gentle.notLower.includes(place) && gentle.items.get(place)?.keys !== tonight.items[place].keys
  );
  const told = [
    why === "colds"
      ? gettext("Whoever has a cold, a cough or a sore throat only listens tonight.")
      : gettext("Sing softly tonight; whoever is hoarse only listens."),
  ];
  if (lower.length) told.push(gettext("{n} semitones lower: {items}.", { n: SEMITONES, items: named(tonight, lower) }));
  if (gentle.notLower.length) {
    told.push(ngettext("{n} item does not begin lower, because the exercise or a voice goes no lower.", "{n} items do not begin lower, because the exercise or a voice goes no lower.", gentle.notLower.length));
  }
  told.push(...swapped);
  if (gentle.leftOut.length) {
    told.push(gettext("Left out, because nothing gentler has the same aim: {items}.", { items: named(tonight, gentle.leftOut) }));
  }
  const half = [...gentle.halfClosed.keys()].map((place) => `${place + 1} ${titleOf(tonight, gentle.items.get(place) ?? tonight.items[place])}`);
  if (half.length) told.push(gettext("On a hum, a trill or a straw for the first half of the keys: {items}.", { items: half.join("; ") }));
  told.push(gettext("This makes the warm-up lighter, but it heals nobody. Stop if it hurts; in doubt ask a doctor, and follow your local advice."));
  return told;
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
