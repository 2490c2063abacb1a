// @ts-check
/**
 * The rules for a warm-up of some kind: before a concert, outdoors, seated, for children, online.
 * They are those of `warmups/checks/`, in `occasion`, `phrases`, `seated`, `from_above` and
 * `stillness`, where each is explained.
 */

import { MINUTE, over, sum, timetable } from "./clock.js";
import { RULES } from "./warm_up_rules.js";

/** @import { PlannedItem, RunningOrder } from "./planning.js" */
/** @import { Finding } from "./warm_up_checks.js" */

const { limits } = RULES;
/** Goals for which singers must hear each other. */
const SHARED_GOALS = ["tuning", "blend", "harmony"];

/** For each kind of warm-up, what its check finds in an item: the name of the finding and its values, or null. @type {Record<string, (item: PlannedItem) => [string, Finding["values"]] | null>} */
const BY_KIND = {
  concert: ({ impact: n }) => (n > limits.concert.impact ? ["concert-strong", { n, impact: limits.concert.impact }] : null),
  outdoor: ({ impact: n, span }) => {
    const { loud, widest } = limits.outdoor;
    return n >= loud && span > widest ? ["outdoor", { interval: { interval: span }, widest: { interval: widest }, n }] : null;
  },
  children: ({ length, comment }) => {
    const { item } = limits.children;
    return over(length, item) && !comment ? ["children-item", { time: { time: length }, minutes: String(item / MINUTE) }] : null;
  },
  online: ({ is_round, lines, main_goal }) => {
    if (is_round) return ["online-round", {}];
    if (lines >= limits.online_lines) return ["online-lines", { n: lines }];
    return SHARED_GOALS.includes(main_goal) ? ["online-goal", { goal: { goal: main_goal } }] : null;
  },
};

/** The check of `occasion`: what does not suit this kind of warm-up. @param {RunningOrder} order @returns {Finding[]} */
export function checkOccasion(order) {
  const kind = order.occasion ?? "";
  const rule = Object.hasOwn(BY_KIND, kind) ? BY_KIND[kind] : null;
  const ofItems = order.items.flatMap((item, place) => {
    const found = rule?.(item);
    return found ? [{ name: found[0], item: place, values: { item: { item: place, fact: "" }, ...found[1] } }] : [];
  });
  const ofBlocks = (kind === "concert" ? blocks(order.items) : []).flatMap((block, index) => {
    const singing = sum(block.map((item) => item.singing));
    const most = index ? limits.concert.later_block : limits.concert.first_block;
    const name = index ? "concert-block" : "concert-singing";
    return singing > most ? [{ name, item: null, values: { time: { time: singing }, most: { time: most } } }] : [];
  });
  return [...ofItems, ...ofBlocks];
}

/** The items in one list, or in several where a later block begins. @param {PlannedItem[]} items @returns {PlannedItem[][]} */
export function blocks(items) {
  /** @type {PlannedItem[][]} */
  const found = [[]];
  for (const item of items) {
    if (item.at !== null && found[found.length - 1].length) found.push([]);
    found[found.length - 1].push(item);
  }
  return found;
}

/** The check of `phrases`: phrases that are long for older singers or children. @param {RunningOrder} order @returns {Finding[]} */
export function checkPhrases({ items, occasion }) {
  if (occasion !== "seated" && occasion !== "children") return [];
  const longest = limits.phrase[occasion];
  return items.flatMap(({ phrase, breath_free }, place) =>
    phrase > limits.phrase.breaths * longest && !breath_free
      ? [{ name: "phrase", item: place, values: { item: { item: place, fact: "" }, time: { time: phrase }, longest: { time: longest } } }]
      : [],
  );
}

/** The check of `seated`: notes that are high for older singers. @param {RunningOrder} order @returns {Finding[]} */
export function checkSeated({ items, occasion, voices }) {
  if (occasion !== "seated") return [];
  return items.flatMap(({ keys }, place) => {
    /** @type {Map<string, number>} */
    const tops = new Map();
    for (const [voice, { open_highest: high }] of keys.flatMap((key) => Object.entries(key))) {
      if (high !== null && high - limits.seated_lower > voices[voice].high) tops.set(voice, Math.max(tops.get(voice) ?? 0, high));
    }
    return tops.size ? [{ name: "seated", item: place, values: { item: { item: place, fact: "" }, notes: { notes: [...tops] } } }] : [];
  });
}

/** The check of `from_above`: tunes for children that begin low or go low. @param {RunningOrder} order @returns {Finding[]} */
export function checkFromAbove({ items, occasion, voices }) {
  if (occasion !== "children") return [];
  const tunes = items.flatMap(({ span }, place) => (span ? [place] : []));
  const none = tunes.length > 0 && !tunes.some((place) => items[place].from_above);
  const first = none ? [{ name: "from-above-none", item: tunes[0], values: { item: { item: tunes[0], fact: "" } } }] : [];
  const low = items.flatMap(({ keys }, place) => {
    /** @type {Map<string, number>} */
    const lowest = new Map();
    for (const [voice, { open_lowest: note }] of keys.flatMap((key) => Object.entries(key))) {
      if (note !== null && note < voices[voice].low) lowest.set(voice, Math.min(note, lowest.get(voice) ?? note));
    }
    return lowest.size ? [{ name: "from-above-low", item: place, values: { item: { item: place, fact: "" }, notes: { notes: [...lowest] } } }] : [];
  });
  return [...first, ...low];
}

/** The check of `stillness`: too many items in a row in which children do not move. @param {RunningOrder} order @returns {Finding[]} */
export function checkStillness({ items, occasion }) {
  if (occasion !== "children") return [];
  const slots = timetable(items);
  let still = 0;
  return items.flatMap(({ active, comment }, place) => {
    still = active || slots[place].moves || comment ? 0 : still + 1;
    return still === limits.children.most_still + 1 ? [{ name: "stillness", item: place, values: { item: { item: place, fact: "" } } }] : [];
  });
}
