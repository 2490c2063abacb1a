// @ts-check
/**
 * Computes how long a warm-up takes and when each item begins, in half-seconds. The rule is that of
 * `warmups/clock.py`, which explains it, with the same numbers (`warm_up_rules.js`).
 */

import { RULES } from "./warm_up_rules.js";

/** @import { PlannedItem } from "./planning.js" */
/** @import { Status } from "./rotation.js" */

/** A second and a minute, in half-seconds. */
export const SECOND = 2;
export const MINUTE = 60 * SECOND;
/** Minutes in a day. */
const DAY = 24 * 60;

/** When an item begins and ends; whether the formation changes before it (`moves`), or is the first that is needed (`forms` is true of both). @typedef {{begins: number, ends: number, moves: boolean, forms: boolean}} Slot */

/**
 * The time of an item whose time is `first` when it is new, and `known` once it is known.
 * @param {number} first
 * @param {number} known
 * @param {Status} status
 */
export function length(first, known, status) {
  if (status === "new") return first;
  return status === "known" ? known : Math.floor((first + known) / 2);
}

/** When each item begins and ends. @param {PlannedItem[]} items @returns {Slot[]} one for each item */
export function timetable(items) {
  const { between, change } = RULES.clock;
  /** @type {Slot[]} */
  const slots = [];
  let now = 0;
  let standing = ""; // the formation in which the singers stand
  for (const item of items) {
    if (item.at !== null) standing = ""; // nobody is standing yet where a later block begins
    const formation = item.as_they_stand ? "" : item.formation;
    const forms = Boolean(formation && formation !== standing);
    const moves = forms && Boolean(standing);
    if (slots.length) now += moves ? change : between;
    now = Math.max(now, item.at ?? 0);
    slots.push({ begins: now, ends: now + item.length, moves, forms });
    now += item.length;
    standing = formation || standing;
  }
  return slots;
}

/**
 * The time of all items with what is between and after them, but not the time before a later block.
 * @param {PlannedItem[]} items
 */
export function total(items) {
  if (!items.length) return 0;
  const slots = timetable(items);
  const waits = slots.map(({ begins }, n) => (n && items[n].at !== null ? Math.max(0, begins - slots[n - 1].ends) : 0));
  return slots[slots.length - 1].ends - sum(waits) + RULES.clock.end;
}

/**
 * The places of the items that are sung only if there is time; the first to be left out comes first.
 * @param {PlannedItem[]} items
 */
export function cutOrder(items) {
  const optional = items.flatMap(({ if_time: rank }, place) => (rank ? [{ rank, place }] : []));
  return optional.sort((a, b) => a.rank - b.rank || b.place - a.place).map(({ place }) => place);
}

/** Whether a time exceeds a limit by more than a minute and more than a tenth. @param {number} time @param {number} limit */
export function over(time, limit) {
  return time - limit > MINUTE && 10 * time > 11 * limit;
}

/**
 * The time of day so many half-seconds after the start, "19:42".
 * @param {number} begins in minutes since midnight
 * @param {number} halfSeconds
 */
export function timeOfDay(begins, halfSeconds) {
  const now = (begins + Math.floor(halfSeconds / MINUTE)) % DAY;
  return `${Math.floor(now / 60)}:${String(now % 60).padStart(2, "0")}`;
}

/** The sum of numbers; 0 if there are none. @param {number[]} numbers */
export function sum(numbers) {
  return numbers.reduce((total, one) => total + one, 0);
}
