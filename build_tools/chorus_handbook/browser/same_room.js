// @ts-check
/**
 * The dated warm-ups of the handbook that a draft meets: in the same room at the same time, by the
 * rule of `warmups/same_room.py`, or on the same day.
 */

import { clockOf } from "./attendance.js";
import { dayNumber } from "./rotation.js";
import { gettext } from "./words.js";

/** @import { Sentences } from "./finding_sentences.js" */
/** @import { DatedWarmUp, Plan, Planning } from "./planning.js" */

/** When and where something is. @typedef {{date: string, starts: string, minutes: number, room?: string}} TimeAndPlace */

const DAY = 24 * 60;

/** Whether two warm-ups are in the same room at the same time. @param {TimeAndPlace} one @param {TimeAndPlace} other */
export function meet(one, other) {
  return roomOf(one) === roomOf(other) && begins(one) < begins(other) + other.minutes && begins(other) < begins(one) + one.minutes;
}

/** The name of a room for comparison; all warm-ups without one count as being in the same. @param {TimeAndPlace} where */
function roomOf({ room = "" }) {
  return room.normalize("NFKC").toUpperCase().replace(/\s+/gu, "");
}

/** In minutes since the first day. @param {TimeAndPlace} when */
function begins({ date, starts }) {
  return dayNumber(date) * DAY + clockOf(starts);
}

/** The other warm-ups of the handbook; a draft of one of them is to take its place. @param {Plan} plan @param {Planning} planning @returns {DatedWarmUp[]} */
function others(plan, { warm_ups = [] }) {
  return warm_ups.filter(({ file }) => file !== plan.file);
}

/** What is wrong if others are in the same room at the same time. @param {Plan} plan @param {Planning} planning @returns {Sentences[]} */
export function clashes(plan, planning) {
  return others(plan, planning)
    .filter((one) => meet(plan, one))
    .map(({ title, starts, minutes, room = "" }) => ({
      message: room
        ? gettext("“{title}” is in the same room at the same time: {room}, {starts}, {n} min.", { title, starts, n: minutes, room })
        : gettext("“{title}” is at the same time, and neither names a room: {starts}, {n} min.", { title, starts, n: minutes }),
      hint: gettext("Choose another day, time or room. To change that one, open its page and tap “Change this one”."),
    }));
}

/** What else there is on the day of a draft, a sentence for each. @param {Plan} plan @param {Planning} planning @returns {string[]} */
export function sameDay(plan, planning) {
  return others(plan, planning)
    .filter((one) => one.date === plan.date && !meet(plan, one))
    .map(({ title, starts, room }) => gettext("On the same day: {warm_up}.", { warm_up: [`“${title}”`, starts, room].filter(Boolean).join(", ") }));
}
