// @ts-check
/**
 * Computes how a warm-up is spread over the voices: for how long each sings, is near its limits, and waits
 * while others sing. The rule is that of `warmups/load.py`, which explains it. Times are in half-seconds.
 */

import { SECOND, sum } from "./clock.js";
import { knownLength, plannedPlaces } from "./planning.js";

/** @import { Item, Numbers, Plan, PlannedItem, Planning, RunningOrder } from "./planning.js" */

/** For how long a voice sings, is near its limits (which is part of that), and waits. @typedef {{singing: number, near: number, waiting: number}} VoiceLoad */

/**
 * The load of each voice that is there, by name, in the chorus's order.
 * @param {Item[]} items those whose exercises are in the handbook
 * @param {RunningOrder} order
 * @param {Planning} planning
 * @returns {Record<string, VoiceLoad>}
 */
export function planLoad(items, order, planning) {
  const loads = order.items.map((planned, n) => loadOf(items[n], planning.exercises[planned.slug], planned));
  /** @param {string} voice @param {keyof VoiceLoad} what */
  const all = (voice, what) => sum(loads.map((load) => load[voice]?.[what] ?? 0));
  const voices = Object.keys(planning.voices).filter((voice) => loads.some((load) => voice in load));
  return Object.fromEntries(
    voices.map((voice) => [
      voice,
      { singing: all(voice, "singing"), near: all(voice, "near"), waiting: all(voice, "waiting") },
    ])
  );
}

/**
 * The load of one item for each voice that is there, by name.
 * @param {Item} item
 * @param {Numbers} numbers
 * @param {PlannedItem} planned
 * @returns {Record<string, VoiceLoad>}
 */
export function loadOf(item, numbers, planned) {
  const { singing = {}, near = {}, sung = 0 } = numbers;
  const unsung = planned.keys.every((key) => !Object.keys(key).length);
  if (planned.impact < 2 || unsung) {
    const time = planned.impact < 2 ? 0 : Math.floor(planned.length / 2);
    return Object.fromEntries(planned.there.map((voice) => [voice, { singing: time, near: 0, waiting: 0 }]));
  }
  const known = knownLength(item, numbers);
  const length = Math.max(planned.length, known);
  const keys = plannedPlaces(item, numbers)
    .map((place, n) => ({ place, key: planned.keys[n] }))
    .filter(({ key }) => Object.keys(key).length);
  return Object.fromEntries(
    planned.there.map((voice) => {
      const once = singing[voice] ?? 0;
      const own = keys.filter(({ key }) => Object.hasOwn(key, voice));
      const outside = sum(own.map(({ place }) => (Object.hasOwn(near, voice) ? near[voice][place] : 0)));
      const waiting = sum(keys.map(({ key }) => Math.max(0, sung - (Object.hasOwn(key, voice) ? once : 0))));
      return [
        voice,
        {
          singing: Math.floor((once * own.length * length) / known),
          near: Math.floor((outside * SECOND * length) / (1000 * known)),
          waiting: Math.floor((waiting * length) / known),
        },
      ];
    })
  );
}
