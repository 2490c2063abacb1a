// @ts-check
/** The day for which a draft is made, as long as nobody has chosen another. */

import { dayNumber, dayOf } from "./rotation.js";

/** @import { Plan } from "./planning.js" */

const DAY_MS = 24 * 60 * 60_000;
const WEEK = 7;
/** The last days of the log that tell on which day of the week the chorus meets. */
const SEASON = 10;

/**
 * A plan with a day: the next one of the week on which the chorus mostly sang.
 * @param {Plan} plan
 * @param {string[]} days those on which it sang, the last one last
 * @returns {Plan}
 */
export function withDay(plan, days) {
  if (plan.date) return plan;
  const today = dayOf(new Date());
  const wait = daysToWait(days.slice(-SEASON).map(dayNumber), today);
  return { ...plan, date: new Date((today + wait) * DAY_MS).toISOString().slice(0, 10) };
}

/** How many days until the day of the week that these days have most often. @param {number[]} days @param {number} today */
function daysToWait(days, today) {
  const waits = days.map((day) => (((day - today) % WEEK) + WEEK) % WEEK);
  const often = (/** @type {number} */ wait) => waits.filter((other) => other === wait).length;
  return waits.reduce((best, wait) => (often(wait) > often(best) ? wait : best), waits[0] ?? 0);
}
