// @ts-check
/**
 * The date that a draft (a warm-up being put together on the page) gets by itself, until somebody
 * chooses another.
 */

import { dayNumber, dayOf } from "./rotation.js";

/** @import { Plan } from "./planning.js" */

const DAY_MS = 24 * 60 * 60_000;
const WEEK = 7;
/** How many of the last days on which the chorus sang are looked at to find its day of the week. */
const SEASON = 10;

/**
 * The plan with a date. If it has none, it gets the next date, today included, that falls on the day
 * of the week on which the chorus sang most often lately; today if it never sang.
 * @param {Plan} plan
 * @param {string[]} days the dates on which the chorus sang, such as "2026-09-03", the last one last
 * @returns {Plan}
 */
export function withDay(plan, days) {
  if (plan.date) return plan;
  const today = dayOf(new Date());
  const wait = daysToWait(days.slice(-SEASON).map(dayNumber), today);
  return { ...plan, date: new Date((today + wait) * DAY_MS).toISOString().slice(0, 10) };
}

/** In how many days it is the day of the week that `days` have most often; 0 without any. Days count as in `dayNumber`. @param {number[]} days @param {number} today */
function daysToWait(days, today) {
  const waits = days.map((day) => (((day - today) % WEEK) + WEEK) % WEEK);
  const often = (/** @type {number} */ wait) => waits.filter((other) => other === wait).length;
  return waits.reduce((best, wait) => (often(wait) > often(best) ? wait : best), waits[0] ?? 0);
}
