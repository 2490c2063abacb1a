// @ts-check
/**
 * Finds the warm-ups of the handbook that are in the same room at the same time as a draft, by the rule of
 * `warmups/same_room.py`, and others on the same day.
 */

import { clockOf } from "./attendance.js";
import { dayNumber } from "./rotation.js";
import { gettext } from "./words.js";

/** @import { Sentences } from "./finding_sentences.js" */
/** @import { DatedWarmUp, Plan, Planning } from "./planning.js" */

/** When and where a warm-up is. @typedef {{date: string, starts: string, minutes: number, room?: string}} TimeAndPlace */

const DAY = 24 * 60;

/** Whether two warm-ups are in the same room at the same time, or may be, since one of them names none. @param {TimeAndPlace} one @param {TimeAndPlace} other */
export function meet(one, other) {
  const [room, its] = [roomOf(one), roomOf(other)];
  return (room === its || !room || !its) && begins(one) < begins(other) + other.minutes && begins(other) < begins(one) + one.minutes;
}

/** The name of a room for comparison; "" without one. @param {TimeAndPlace} where */
function roomOf({ room = "" }) {
  return room.normalize("NFKC").toUpperCase().replace(/\s+/gu, "");
}

/** When a warm-up begins, in minutes since 1 January 1970. @param {TimeAndPlace} when */
function begins({ date, starts }) {
  return dayNumber(date) * DAY + clockOf(starts);
}

/** The warm-ups of the handbook, without the one of which the draft is a new version. @param {Plan} plan @param {Planning} planning @returns {DatedWarmUp[]} */
function others(plan, { warm_ups = [] }) {
  return warm_ups.filter(({ file }) => file !== plan.file);
}

/** Sentences about each warm-up that is, or may be, in the same room at the same time as the draft. @param {Plan} plan @param {Planning} planning @returns {Sentences[]} */
export function clashes(plan, planning) {
  return others(plan, planning)
    .filter((one) => meet(plan, one))
    .map(({ title, starts, minutes, room = "" }) => (!plan.room !== !room ? question(title, starts, minutes, room) : {
      message: room
        ? gettext("“{title}” is in the same room at the same time: {room}, {starts}, {n} min.", { title, starts, n: minutes, room })
        : gettext("“{title}” is at the same time, and neither names a room: {starts}, {n} min.", { title, starts, n: minutes }),
      hint: gettext("Choose another day, time or room. To change that one, open its page and tap “Change this one”."),
    }));
}

/** Asks where the draft is, if just one of the two names a room. @param {string} title @param {string} starts @param {number} n its minutes @param {string} room "" if it names none @returns {Sentences} */
function question(title, starts, n, room) {
  return {
    message: room
      ? gettext("Is this in another room than “{title}”? That one is at the same time: {room}, {starts}, {n} min; this one names no room.", { title, starts, n, room })
      : gettext("Is this in another room than “{title}”? That one is at the same time and names no room: {starts}, {n} min.", { title, starts, n }),
    hint: gettext("If so, name the room of each. If not, choose another day or time."),
  };
}

/** A sentence about each other warm-up on the day of the draft. @param {Plan} plan @param {Planning} planning @returns {string[]} */
export function sameDay(plan, planning) {
  return others(plan, planning)
    .filter((one) => one.date === plan.date && !meet(plan, one))
    .map(({ title, starts, room }) => gettext("On the same day: {warm_up}.", { warm_up: [`“${title}”`, starts, room].filter(Boolean).join(", ") }));
}
