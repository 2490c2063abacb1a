// @ts-check
/**
 * Writes how well the chorus knows each exercise today (new, settling, known or resting), and in
 * lists also how long ago it was sung. Pages contain only the days on which it was sung, so that a
 * page is the same whenever it is built.
 */

import { dayNumbers, dayOf, statusToday } from "./rotation.js";
import { distance } from "./time_ago.js";
import { gettext } from "./words.js";

/** @import { Status } from "./rotation.js" */

/**
 * What the page of an exercise says for each way in which the chorus may know it.
 * @type {Record<Status, () => string>}
 */
const WORDS = {
  new: () => gettext("New."),
  settling: () => gettext("Settling."),
  known: () => gettext("Known."),
  resting: () => gettext("Resting."),
};
/**
 * What lists say of an exercise that was sung; `when` is such as "2 weeks ago".
 * @type {Record<Status, (when: string) => string>}
 */
const IN_LISTS = {
  new: () => "",
  settling: (when) => gettext("Settling: sung {when}", { when }),
  known: (when) => gettext("Known: sung {when}", { when }),
  resting: (when) => gettext("Resting: sung {when}", { when }),
};

/**
 * Says so in every element of the page that has the days on which an exercise was sung (`data-sung`).
 * @param {Date} now
 */
export function saySung(now) {
  for (const place of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-sung]"))) {
    const log = /** @type {HTMLElement | null} */ (place.closest("[data-log]"))?.dataset.log;
    sayIn(place, dayNumbers(log), now);
  }
}

/**
 * Fills one such element.
 * @param {HTMLElement} place
 * @param {number[]} log the first days on which anything was sung, as `dayNumber` counts
 * @param {Date} now
 */
export function sayIn(place, log, now) {
  const sung = dayNumbers(place.dataset.sung);
  const found = statusToday(sung, log, now);
  if (place.matches(".hb-status")) {
    place.textContent = WORDS[found]();
  } else if (sung.length) {
    const when = distance(place.dataset.sung?.split(" ").at(-1) ?? "", now);
    const ahead = Number(sung.at(-1)) > dayOf(now); // its log was written before its day
    place.textContent = ahead ? gettext("Planned {when}", { when }) : IN_LISTS[found](when);
  }
}

if (typeof document !== "undefined") saySung(new Date());
