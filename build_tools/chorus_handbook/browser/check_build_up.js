// @ts-check
/**
 * The checks of how a warm-up builds up: when strong singing, high and low notes, wide leaps and several
 * lines may come, what comes first and what comes last. They are those of the modules `strong`,
 * `extremes`, `leaps`, `harmony`, `body`, `close` and `level` in `warmups/checks/`, where each is
 * explained.
 */

import { sum, timetable } from "./clock.js";
import { RULES } from "./warm_up_rules.js";

/** @import { RunningOrder, KeyReach, PlannedItem } from "./planning.js" */
/** @import { Finding } from "./warm_up_checks.js" */

const { limits } = RULES;

/** The singing time before the item at a place, in half-seconds. @param {RunningOrder} order @param {number} place from 0 */
function singingBefore(order, place) {
  return sum(order.items.slice(0, place).map(({ singing }) => singing));
}

/** The check of `strong`: strong singing that comes too early or lasts too long. @param {RunningOrder} order @returns {Finding[]} */
export function checkStrong(order) {
  const { needed, needed_in_short, needed_if_strong, late, longest } = limits.strong;
  const least = order.occasion === "short" ? needed_in_short : needed;
  const slots = timetable(order.items);
  let named = false;
  return order.items.flatMap(/** @returns {Finding[]} */ ({ impact, sound }, place) => {
    const before = singingBefore(order, place);
    const isLate = impact === 5 && slots[place].begins >= late;
    const asked = impact === 4 || isLate ? least : needed_if_strong;
    const item = { item: place, fact: "impact" };
    if (impact >= 4 && before < asked) {
      const told = impact === 5 || !named;
      named = named || impact === 4;
      return told ? [{ name: "strong-early", item: place, values: { item, before: { time: before }, needed: { time: asked } } }] : [];
    }
    if (impact !== 5 || sound <= longest) return [];
    return [{ name: "strong-long", item: place, values: { item, time: { time: sound }, longest: { time: longest } } }];
  });
}

/** The check of `extremes`: notes beyond a comfortable range that nothing prepares. @param {RunningOrder} order @returns {Finding[]} */
export function checkExtremes(order) {
  /** @type {Map<string, number>} */
  const lowest = new Map();
  /** @type {Map<string, number>} */
  const highest = new Map();
  return order.items.flatMap(({ keys }, place) => {
    /** @type {Map<string, number>} */
    const notes = new Map();
    for (const key of keys) {
      for (const [voice, reach] of Object.entries(key)) {
        const note = unprepared(order, voice, reach, lowest, highest);
        if (note !== null && !notes.has(voice)) notes.set(voice, note);
      }
      for (const [voice, reach] of Object.entries(key)) {
        lowest.set(voice, Math.min(reach.lowest, lowest.get(voice) ?? reach.lowest));
        highest.set(voice, Math.max(reach.highest, highest.get(voice) ?? reach.highest));
      }
    }
    if (!notes.size) return [];
    const values = { item: { item: place, fact: "" }, notes: { notes: [...notes] }, interval: { interval: limits.prepared_within } };
    return [{ name: "extremes", item: place, values }];
  });
}

/**
 * A note outside the comfortable range that nothing has prepared; null if there is none.
 * @param {RunningOrder} order
 * @param {string} voice
 * @param {KeyReach} reach
 * @param {Map<string, number>} lowest the lowest note that each voice has sung before, by name
 * @param {Map<string, number>} highest the highest
 */
function unprepared(order, voice, reach, lowest, highest) {
  const { low: bottom, high: top } = order.voices[voice];
  const { open_highest: high, open_lowest: low } = reach;
  if (high !== null && high > top && high - (highest.get(voice) ?? 0) > limits.prepared_within) return high;
  if (low !== null && low < bottom && (lowest.get(voice) ?? 128) - low > limits.prepared_within) return low;
  return null;
}

/** The check of `leaps`: wide leaps before enough has been sung. @param {RunningOrder} order @returns {Finding[]} */
export function checkLeaps(order) {
  const { widest, needed } = limits.leap;
  return order.items.flatMap(({ impact, leap, half_closed, is_round }, place) => {
    const before = singingBefore(order, place);
    if (impact !== 3 || leap <= widest || half_closed || is_round || before >= needed) return [];
    const values = { item: { item: place, fact: "" }, interval: { interval: leap }, before: { time: before }, needed: { time: needed } };
    return [{ name: "leap", item: place, values }];
  });
}

/** The check of `harmony`: several lines before any unison. @param {RunningOrder} order @returns {Finding[]} */
export function checkHarmony({ items }) {
  const isHarmony = (/** @type {{lines: number, impact: number}} */ one) => one.lines >= limits.harmony.lines && one.impact >= limits.harmony.impact;
  const place = items.findIndex((one) => one.unison || isHarmony(one));
  if (place < 0 || items[place].unison) return [];
  return [{ name: "harmony", item: place, values: { item: { item: place, fact: "" }, n: items[place].lines } }];
}

/** Whether an item is for the body or the breath. @param {PlannedItem} item */
export function wakes({ impact, families }) {
  return impact === 1 || families.includes("body") || families.includes("breath");
}

/** The check of `body`: fuller singing before anything for body or breath. @param {RunningOrder} order @returns {Finding[]} */
export function checkBody({ items, occasion, has_families }) {
  if (occasion === "short" || occasion === "online" || !has_families) return [];
  const place = items.findIndex((item) => wakes(item) || item.impact >= limits.prepared_impact);
  if (place < 0 || wakes(items[place])) return [];
  return [{ name: "body", item: place, values: { item: { item: place, fact: "impact" } } }];
}

/** The check of `close`: an ending that is too strong. @param {RunningOrder} order @returns {Finding[]} */
export function checkClose({ items, chord_follows }) {
  const place = items.length - 1;
  const { impact, unites } = items[place];
  if (impact !== 5 && (impact !== 4 || unites || chord_follows)) return [];
  const values = { item: { item: place, fact: "" }, title: { title: place } };
  return [{ name: impact === 5 ? "close-strong" : "close-full", item: place, values }];
}

/** The check of `level`: a beginning that is hard to learn. @param {RunningOrder} order @returns {Finding[]} */
export function checkLevel({ items: [first] }) {
  if (first.level !== 3 || first.status === "known") return [];
  return [{ name: "level", item: 0, values: { item: { item: 0, fact: "" } } }];
}
