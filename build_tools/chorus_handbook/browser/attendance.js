// @ts-check
/** Works out which voices are there at a warm-up and when, from the fields `present` and `there` of its plan. */

import { MINUTE, timeOfDay } from "./clock.js";
import { listed } from "./finding_sentences.js";
import { gettext } from "./words.js";

/** @import { Slot } from "./clock.js" */
/** @import { Plan, Planning } from "./planning.js" */

/** The voices that a name stands for: a voice, a group, or all. @param {Planning} planning @param {string} name @returns {string[]} */
export function voicesNamed({ voices, groups }, name) {
  if (name === "all") return Object.keys(voices);
  if (Object.hasOwn(voices, name)) return [name];
  return Object.hasOwn(groups, name) ? groups[name] : [];
}

/** A time of day in minutes since midnight. @param {string} text such as 19:30 */
export function clockOf(text) {
  const [hours, minutes] = text.split(":").map(Number);
  return 60 * hours + minutes;
}

/** How many minutes after the start a time of day is; negative for an earlier one. @param {Plan} plan @param {number} time */
export function minutesAfterStart(plan, time) {
  const [day, half] = [24 * 60, 12 * 60];
  return ((((time - clockOf(plan.starts) + half) % day) + day) % day) - half;
}

/** Reads from when and until when a voice is there, in minutes since midnight; null where it does not say. @param {string} text "from 19:40 until 19:55", or one half of it */
export function readThere(text) {
  const from = /from (\d{1,2}:\d\d)/.exec(text);
  const until = /until (\d{1,2}:\d\d)/.exec(text);
  return { from: from ? clockOf(from[1]) : null, until: until ? clockOf(until[1]) : null };
}

/** The voices that are present `begins` half-seconds after the start. @param {Plan} plan @param {Planning} planning @param {number} begins */
export function voicesThere(plan, planning, begins) {
  const present = new Set((plan.present ?? ["all"]).flatMap((name) => voicesNamed(planning, name)));
  const now = Math.floor(begins / MINUTE);
  for (const [name, hours] of Object.entries(plan.there ?? {})) {
    const { from, until } = readThere(hours);
    const away = (from !== null && now < minutesAfterStart(plan, from)) || (until !== null && now >= minutesAfterStart(plan, until));
    if (away) for (const voice of voicesNamed(planning, name)) present.delete(voice);
  }
  return Object.keys(planning.voices).filter((name) => present.has(name));
}

/** When each late voice comes, by name, in half-seconds after the start; voices that are there at the start are not in it. @param {Plan} plan @param {Planning} planning */
export function arrivals(plan, planning) {
  const times = Object.entries(plan.there ?? {}).flatMap(([name, hours]) => {
    const { from } = readThere(hours);
    const after = from === null ? 0 : minutesAfterStart(plan, from) * MINUTE;
    return voicesNamed(planning, name).map((voice) => /** @type {const} */ ([voice, after]));
  });
  const later = times.filter(([, time]) => time > 0).sort(([a, one], [b, other]) => one - other || (a < b ? -1 : 1));
  return Object.fromEntries(later);
}

/** Which voices come late or leave early: "Bass from 19:40", "Alto until 19:55". @param {Plan} plan @param {Planning} planning */
export function presence(plan, planning) {
  return Object.entries(plan.there ?? {}).map(([name, hours]) => {
    const { from, until } = readThere(hours);
    return fromUntil(labels(planning, name), from, until);
  });
}

/** For each item, phrases about voices that join in with it, or have left since the item before: "Bass from 19:40". @param {Plan} plan @param {Slot[]} slots @param {Planning} planning @returns {string[][]} */
export function joinsByItem(plan, slots, planning) {
  const begins = slots.map((slot) => Math.floor(slot.begins / MINUTE));
  return begins.map((now, place) =>
    Object.entries(plan.there ?? {}).flatMap(([name, hours]) => {
      const { from, until } = readThere(hours);
      const since = (/** @type {number | null} */ time) => time !== null && (begins[place - 1] ?? 0) < minutesAfterStart(plan, time) && minutesAfterStart(plan, time) <= now;
      const voices = labels(planning, name);
      return [since(from) ? fromUntil(voices, from, null) : "", since(until) ? fromUntil(voices, null, until) : ""].filter(Boolean);
    }),
  );
}

/** The voices that are absent during a part of an item: "Bass from 19:38", "without Alto". @param {Plan} plan @param {Slot} slot @param {Planning} planning @returns {string[]} */
export function during(plan, slot, planning) {
  const [begins, ends] = [slot.begins / MINUTE, slot.ends / MINUTE];
  return Object.entries(plan.there ?? {}).flatMap(([name, hours]) => {
    const { from, until } = readThere(hours);
    const voices = labels(planning, name);
    if (from !== null && begins < minutesAfterStart(plan, from)) return [fromUntil(voices, from, null)];
    if (until !== null && begins >= minutesAfterStart(plan, until)) return [gettext("without {voices}", { voices })];
    if (until !== null && ends > minutesAfterStart(plan, until)) return [fromUntil(voices, null, until)];
    return [];
  });
}

/** The labels of the voices that a name stands for: "Tenor and Bass". @param {Planning} planning @param {string} name */
function labels(planning, name) {
  return listed(voicesNamed(planning, name).map((voice) => planning.voices[voice].label));
}

/** The phrase "Bass from 19:40 until 19:55", or one half of it. @param {string} voices @param {number | null} from in minutes since midnight @param {number | null} until */
function fromUntil(voices, from, until) {
  const [begins, ends] = [from, until].map((time) => (time === null ? "" : timeOfDay(time, 0)));
  if (begins && ends) return gettext("{voices} from {begins} until {ends}", { voices, begins, ends });
  if (begins) return gettext("{voices} from {time}", { voices, time: begins });
  return gettext("{voices} until {time}", { voices, time: ends });
}
