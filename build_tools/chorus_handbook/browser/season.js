// @ts-check
/**
 * Brings what a page says about the season up to today: what was sung for each family of goals in the four
 * weeks that end today, and for how long each voice sang. As built, the page has the four weeks that end
 * with the last day of the log; if nothing was sung in the weeks that end today, as in summer, that stays.
 */

import { sum } from "./clock.js";
import { longestWait, time } from "./finding_sentences.js";
import { dayNumber, dayNumbers, dayOf, inWindow } from "./rotation.js";
import { FACTS } from "./shared_facts.js";
import { gettext, ngettext } from "./words.js";

/**
 * Hides exercises that were not sung in the weeks that end today, and counts the others anew.
 * @param {Date} now
 */
export function showWeeks(now) {
  const today = dayOf(now);
  /** @param {Element} one */
  const times = (one) =>
    dayNumbers(one instanceof HTMLElement ? one.dataset.days : "").filter((day) => inWindow(day, today)).length;
  for (const season of document.querySelectorAll(".hb-season")) {
    const all = [...season.querySelectorAll("[data-days]")];
    if (!all.some(times)) continue;
    const weeks = season.querySelector(".hb-weeks");
    if (weeks) weeks.textContent = gettext("In the last {n} weeks:", { n: FACTS.rotation.window / 7 });
    for (const one of all) {
      one.toggleAttribute("hidden", !times(one));
      say(one, times(one) > 1 ? String(times(one)) : "");
    }
    showLoads(season, today);
    for (const family of season.querySelectorAll(".hb-families > div")) {
      const sum = all.reduce((sum, one) => sum + (family.contains(one) ? times(one) : 0), 0);
      say(family, ngettext("{n} time", "{n} times", sum));
    }
  }
}

/**
 * Adds up anew for how long each voice sang, was near its limits and waited in these weeks.
 * @param {Element} season
 * @param {number} today as `dayNumber` counts
 */
function showLoads(season, today) {
  const rows = [...season.querySelectorAll("[data-loads]")];
  /** @type {[string, number][]} */
  const waits = [];
  for (const row of rows) {
    const days = (row instanceof HTMLElement ? row.dataset.loads ?? "" : "").split(" ").map((one) => one.split(":"));
    const lately = days.filter(([day]) => inWindow(dayNumber(day), today)).map(([, times]) => times.split(",").map(Number));
    row.querySelectorAll("td").forEach((cell, n) => (cell.textContent = time(sum(lately.map((times) => times[n])))));
    waits.push([row.querySelector("th")?.textContent ?? "", sum(lately.map(([, , waiting]) => waiting))]);
  }
  const told = season.querySelector(".hb-waits");
  if (!told || !rows.length) return;
  told.textContent = longestWait(waits);
  told.toggleAttribute("hidden", !told.textContent);
}

/**
 * Writes a count.
 * @param {Element} place
 * @param {string} count
 */
function say(place, count) {
  const span = place.querySelector(".hb-count");
  if (span) span.textContent = count;
}

showWeeks(new Date());
