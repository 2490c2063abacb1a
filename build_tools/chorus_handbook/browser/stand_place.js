// @ts-check
/**
 * Remembers where the leader of a warm-up was on the music stand: at which item, step and key. It is stored
 * in this browser, so that a leader who closes the stand or loads the page again goes on from there on the
 * same day.
 */

import { StoredChoice } from "./stored_choices.js";

const MINUTE_MS = 60_000;

/**
 * `place` and `step`: the item and its step; `keys`: which of its keys each item is in; all from 0. `began`:
 * when the leader began, in milliseconds since 1970.
 * @typedef {{began: number, place: number, step: number, keys: number[]}} StandPlace
 */

/** Reads what was stored. @param {Record<string, unknown>} fields @returns {StandPlace | null} null if it does not have the expected fields */
export function readPlace({ began, place, step, keys }) {
  const counts = [place, step, ...(Array.isArray(keys) ? keys : [null])];
  if (typeof began !== "number" || !counts.every((count) => Number.isInteger(count) && Number(count) >= 0)) return null;
  return { began, place: Number(place), step: Number(step), keys: /** @type {number[]} */ (keys) };
}

/**
 * Where to go on; null to begin at the first item, if the stored place is of another day or does not fit
 * the items. The clock of the warm-up runs on from when the leader began, but begins anew if its time
 * has run out, because the leader may have gone through it alone before the evening.
 * @param {StandPlace | null} stored
 * @param {number[]} counts how many keys each item has
 * @param {number} minutes how long the warm-up may take; 0 if that is not said
 * @param {number} now in milliseconds since 1970
 * @returns {StandPlace | null}
 */
export function goOnFrom(stored, counts, minutes, now) {
  if (!stored || new Date(stored.began).toDateString() !== new Date(now).toDateString()) return null;
  const fits = stored.keys.length === counts.length && stored.keys.every((key, item) => key < Math.max(1, counts[item]));
  if (!fits || stored.place >= counts.length) return null;
  return { ...stored, began: now - stored.began < minutes * MINUTE_MS ? stored.began : now };
}

/**
 * The stored place of one plan.
 * @param {string} handbook the address of the handbook
 * @param {string} plan the name of its file
 * @returns {StoredChoice<StandPlace>}
 */
export function storedPlace(handbook, plan) {
  return new StoredChoice(`chorus-handbook stand ${handbook} ${plan}`, readPlace);
}
