// @ts-check
/**
 * What an exercise is for a warm-up on some day: new, settling, known or resting. The rule is that
 * of `warmups/rotation.py`, with the same numbers (`shared_facts.js`). Days are whole numbers, in
 * ascending order (`dayNumber`).
 */

import { FACTS } from "./shared_facts.js";

const DAY_MS = 24 * 60 * 60 * 1000;
/** Days; a week is counted back from a day, not from Monday. */
const WEEK = 7;

/** @typedef {"new" | "settling" | "known" | "resting"} Status */

/**
 * The number of a day, counted from 1 January 1970.
 * @param {string} date such as 2026-09-03
 */
export function dayNumber(date) {
  const [year, month, day] = date.split("-").map(Number);
  return Date.UTC(year, month - 1, day) / DAY_MS;
}

/**
 * The number of the day that it is here at a moment.
 * @param {Date} now
 */
export function dayOf(now) {
  return Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) / DAY_MS;
}

/**
 * Days as an attribute of a page has them: dates with spaces between.
 * @param {string} [dates]
 */
export function dayNumbers(dates = "") {
  return dates.split(" ").filter(Boolean).map(dayNumber);
}

/**
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
 * The same today. What was sung today counts already: the next warm-up is tomorrow at the earliest.
 * @param {number[]} sung
 * @param {number[]} log
 * @param {Date} now
 */
export function statusToday(sung, log, now) {
  const today = dayOf(now);
  return status(sung, log, sung.at(-1) === today ? today + 1 : today);
}

/**
 * Whether a day lies in the weeks that end with another, which is one of them.
 * @param {number} day
 * @param {number} end
 */
export function inWindow(day, end) {
  return day <= end && end - day < FACTS.rotation.window;
}

/**
 * In how many weeks in a row, counted back from a day, an exercise was sung.
 * @param {number[]} sung
 * @param {number} day
 */
export function weeksRunning(sung, day) {
  const weeks = new Set(sung.filter((other) => other < day).map((other) => Math.floor((day - other - 1) / WEEK)));
  let count = 0;
  while (weeks.has(count)) count += 1;
  return count;
}
