// @ts-check
/**
 * Says how well a chorus knows an exercise on some day: it is new, settling, known or resting. The rule is
 * that of `warmups/rotation.py`, which explains it, with the same numbers (`shared_facts.js`). Days are
 * whole numbers, counted from 1 January 1970; lists of them are in ascending order.
 */

import { FACTS } from "./shared_facts.js";

const DAY_MS = 24 * 60 * 60 * 1000;
/** Days; a week is counted back from a day, not from Monday. */
const WEEK = 7;

/** Never sung; sung, but too seldom to be known; sung often enough lately; not sung for eight weeks or more. @typedef {"new" | "settling" | "known" | "resting"} Status */

/**
 * The number of a day, counted from 1 January 1970.
 * @param {string} date such as 2026-09-03
 */
export function dayNumber(date) {
  const [year, month, day] = date.split("-").map(Number);
  return Date.UTC(year, month - 1, day) / DAY_MS;
}

/**
 * The number of the day that a moment belongs to, by the clock of this device.
 * @param {Date} now
 */
export function dayOf(now) {
  return Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) / DAY_MS;
}

/**
 * The numbers of the days in an attribute of a page.
 * @param {string} [dates] such as "2026-09-03 2026-09-10"
 */
export function dayNumbers(dates = "") {
  return dates.split(" ").filter(Boolean).map(dayNumber);
}

/**
 * The status of an exercise on a day.
 * @param {number[]} sung the days on which the exercise was sung
 * @param {number[]} log the days on which anything was sung; the first few are enough
 * @param {number} day only earlier days count
 * @returns {Status}
 */
export function status(sung, log, day) {
  const { enough, resting, often, known_within: within } = FACTS.rotation;
  const before = sung.filter((other) => other < day);
  const last = before.at(-1);
  if (last === undefined) {
    return log.filter((other) => other < day).length < enough ? "settling" : "new";
  }
  if (day - last >= resting) return "resting";
  return before.filter((other) => day - other <= within).length >= often ? "known" : "settling";
}

/**
 * The status today. If the exercise was sung today, that counts already, because the next warm-up is
 * tomorrow at the earliest.
 * @param {number[]} sung the days on which the exercise was sung
 * @param {number[]} log the days on which anything was sung
 * @param {Date} now
 */
export function statusToday(sung, log, now) {
  const today = dayOf(now);
  return status(sung, log, sung.at(-1) === today ? today + 1 : today);
}

/**
 * Whether a day is in the four weeks whose last day is `end`.
 * @param {number} day
 * @param {number} end
 */
export function inWindow(day, end) {
  return day <= end && end - day < FACTS.rotation.window;
}

/**
 * In how many weeks in a row, counted back from a day, an exercise was sung.
 * @param {number[]} sung the days on which it was sung
 * @param {number} day
 */
export function weeksRunning(sung, day) {
  const weeks = new Set(sung.filter((other) => other < day).map((other) => Math.floor((day - other - 1) / WEEK)));
  let count = 0;
  while (weeks.has(count)) count += 1;
  return count;
}
