// @ts-check
/**
 * Moves the weeks in which families of goals are compared up to today. The page has what was sung in
 * the weeks up to the last day of the log; where none of it is in the last weeks up to today, as in
 * summer, that is left as it is.
 */

import { dayNumbers, dayOf, inWindow } from "./rotation.js";
import { FACTS } from "./shared_facts.js";
import { gettext, ngettext } from "./words.js";

/**
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
    for (const family of season.querySelectorAll(".hb-families > div")) {
      const sum = all.reduce((sum, one) => sum + (family.contains(one) ? times(one) : 0), 0);
      say(family, ngettext("{n} time", "{n} times", sum));
    }
  }
}

/**
 * @param {Element} place
 * @param {string} count
 */
function say(place, count) {
  const span = place.querySelector(".hb-count");
  if (span) span.textContent = count;
}

showWeeks(new Date());
