// @ts-check
/**
 * Sorts warm-ups into those to come and those that are past, and finds the next one. Pages contain only
 * dates, so that a page is the same whenever it is built. A warm-up counts as one to come until its day is
 * over.
 */

import { dayNumber, dayOf } from "./rotation.js";
import { gettext, language } from "./words.js";

/** A date that is fewer days away than this is called by its day of the week, "Thursday". */
const WEEK = 7;

/**
 * How many days it is from today to a date; negative if the date is past.
 * @param {string} date such as 2026-09-03
 * @param {Date} now
 */
export function daysUntil(date, now) {
  return dayNumber(date) - dayOf(now);
}

/**
 * The next of some dates, which may be today's; undefined if all are past.
 * @param {string[]} dates in any order
 * @param {Date} now
 */
export function next(dates, now) {
  return dates.filter((date) => daysUntil(date, now) >= 0).sort()[0];
}

/**
 * Dates in the order in which they matter: those to come, the next one first; then the past, the
 * latest first.
 * @param {string[]} dates
 * @param {Date} now
 * @returns {{coming: string[], past: string[]}}
 */
export function inOrder(dates, now) {
  const sorted = [...dates].sort();
  const begins = sorted.filter((date) => daysUntil(date, now) < 0).length;
  return { coming: sorted.slice(begins), past: sorted.slice(0, begins).reverse() };
}

/**
 * What a near day is called in the language of the handbook: "today", "tomorrow", "Thursday"; null if it is
 * not near, so that its date has to be given.
 * @param {string} date
 * @param {Date} now
 */
export function dayName(date, now) {
  const days = daysUntil(date, now);
  if (days < 0 || days >= WEEK) return null;
  if (days < 2) return new Intl.RelativeTimeFormat(language(), { numeric: "auto" }).format(days, "day");
  return new Intl.DateTimeFormat(language(), { weekday: "long", timeZone: "UTC" }).format(new Date(date));
}

/** Shows only the next of several warm-ups, and names its day. @param {HTMLElement} box @param {Date} now */
function showNext(box, now) {
  const rows = /** @type {HTMLElement[]} */ ([...box.querySelectorAll("[data-day]")]);
  const date = next(rows.map(({ dataset }) => dataset.day ?? ""), now);
  const shown = rows.find(({ dataset }) => dataset.day === date);
  for (const row of rows) row.hidden = row !== shown;
  box.classList.add("hb-chosen");
  (box.closest(".hb-at-home") ?? box).toggleAttribute("hidden", !shown);
  const time = shown?.querySelector("time");
  const name = date && dayName(date, now);
  if (time?.firstChild && name) time.firstChild.nodeValue = name; // time_ago.js may have added to it
}

/** Divides the list of all warm-ups in two, with headings: those to come, then those that are past. @param {Element} list @param {Date} now */
function sortList(list, now) {
  const rows = /** @type {HTMLElement[]} */ ([...list.children]);
  const { coming, past } = inOrder(rows.map(({ dataset }) => dataset.day ?? ""), now);
  if (!coming.length || !past.length) {
    for (const date of coming) move(rows, date, list);
    return;
  }
  const first = /** @type {Element} */ (list.cloneNode());
  list.before(heading(gettext("Coming")), first, heading(gettext("Past")));
  for (const date of coming) move(rows, date, first);
  for (const date of past) move(rows, date, list);
}

/** Moves the first row with this date to the end of a list. @param {HTMLElement[]} rows those not moved yet @param {string} date @param {Element} to the list */
function move(rows, date, to) {
  const [row] = rows.splice(rows.findIndex(({ dataset }) => dataset.day === date), 1);
  to.append(row);
}

/** A heading of the second level. @param {string} text */
function heading(text) {
  const made = document.createElement("h2");
  made.textContent = text;
  return made;
}

if (typeof document !== "undefined") {
  const now = new Date();
  for (const box of document.querySelectorAll(".hb-coming")) if (box instanceof HTMLElement) showNext(box, now);
  for (const list of document.querySelectorAll("ul:has(> [data-day])")) sortList(list, now);
}
