// @ts-check
/**
 * Says beside dates how far they are from today: "(2 weeks ago)", "(tomorrow)". Pages contain only the
 * dates, so that a page is the same whenever it is built. Of several dates in a paragraph only the first
 * gets this.
 */

import { dayNumber, dayOf } from "./rotation.js";
import { language } from "./words.js";

/** From how many days on the distance is given in weeks, and from how many days on in months. */
const WEEKS_FROM = 14;
const MONTHS_FROM = 9 * 7;
/** The days of a mean month: a year of 365.25 days in twelve parts. */
const MONTH_DAYS = 30.44;

/**
 * How far a date is from today, in the language of the handbook: "2 weeks ago".
 * @param {string} date such as 2026-09-03
 * @param {Date} today
 */
export function distance(date, today) {
  const days = dayNumber(date) - dayOf(today);
  const words = new Intl.RelativeTimeFormat(language(), { numeric: "auto" });
  if (Math.abs(days) < WEEKS_FROM) return words.format(days, "day");
  if (Math.abs(days) < MONTHS_FROM) return words.format(Math.trunc(days / 7), "week");
  return words.format(Math.trunc(days / MONTH_DAYS), "month");
}

if (typeof document !== "undefined") {
  const done = new Set();
  for (const time of document.querySelectorAll("time[datetime]")) {
    const row = time.closest("p");
    if (!row || done.has(row) || !(time instanceof HTMLTimeElement)) continue;
    done.add(row);
    time.append(` (${distance(time.dateTime, new Date())})`);
  }
}
