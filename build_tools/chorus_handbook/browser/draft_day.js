// @ts-check
/**
 * When and where a draft is (a warm-up being put together on the page): the date, time and room that it
 * gets by itself, until somebody chooses others, and how dates are written.
 */

import { DEFAULT_START } from "./drafts.js";
import { dayNumber, dayOf } from "./rotation.js";
import { gettext, language } from "./words.js";

/** @import { Plan, Planning } from "./planning.js" */

const DAY_MS = 24 * 60 * 60_000;
const WEEK = 7;
/** How many of the last days on which the chorus sang are looked at to find its day of the week. */
const SEASON = 10;

/**
 * The plan with a date. If it has none, it gets the next date, today included, that falls on the day
 * of the week on which the chorus sang most often lately (today's, if it never sang), and for which the
 * handbook has no warm-up yet. If it then names no room, and no time of its own, it gets those of the last
 * weekly warm-up, as from `handbook plan`.
 * @param {Plan} plan
 * @param {Planning} planning
 * @returns {Plan}
 */
export function withDay(plan, { days, warm_ups = [] }) {
  if (plan.date) return plan;
  const today = dayOf(new Date());
  const planned = new Set(warm_ups.map(({ date }) => dayNumber(date)));
  let day = today + daysToWait(days.slice(-SEASON).map(dayNumber), today);
  while (planned.has(day)) day += WEEK;
  const last = plan.kind ? undefined : [...warm_ups].reverse().find(({ kind }) => !kind);
  const starts = last && plan.starts === DEFAULT_START ? last.starts : plan.starts;
  const where = last?.room && !plan.room ? { room: last.room, starts } : { starts };
  return { ...plan, ...where, date: new Date(day * DAY_MS).toISOString().slice(0, 10) };
}

/** A date with its day of the week: "Thursday, 3 September 2026". @param {string} date */
export function longDate(date) {
  const [weekday, day] = [{ weekday: "long" }, { day: "numeric", month: "long", year: "numeric" }].map((form) =>
    new Intl.DateTimeFormat(locale(), /** @type {Intl.DateTimeFormatOptions} */ ({ ...form, timeZone: "UTC" })).format(new Date(date)),
  );
  return gettext("{weekday}, {date}", { weekday, date: day });
}

/** The language of the handbook as dates are written in it; English ones as in Britain, the day first. */
function locale() {
  return language() === "en" ? "en-GB" : language();
}

/** A date as the list of drafts has it: "10 Dec"; "" without a date. @param {string} date */
export function shortDate(date) {
  if (!date) return "";
  const form = new Intl.DateTimeFormat(locale(), { day: "numeric", month: "short", timeZone: "UTC" });
  return form.format(new Date(date));
}

/** In how many days it is the day of the week that `days` have most often; 0 without any. Days count as in `dayNumber`. @param {number[]} days @param {number} today */
function daysToWait(days, today) {
  const waits = days.map((day) => (((day - today) % WEEK) + WEEK) % WEEK);
  const often = (/** @type {number} */ wait) => waits.filter((other) => other === wait).length;
  return waits.reduce((best, wait) => (often(wait) > often(best) ? wait : best), waits[0] ?? 0);
}
