// @ts-check
/** Says about the planned keys of an item on the music stand which is the highest so far, and which of how many is being sung. */

import { gettext } from "./words.js";

/**
 * One key: its tonic as files write it ("Eb4") and as a MIDI number, its name, and the starting
 * notes, in words and as MIDI numbers.
 * @typedef {{tonic: string, midi: number, name: string, starts: string, notes: number[]}} Key
 */

/**
 * The highest of the keys up to a place. That is the one at the place itself only while they go up.
 * @param {Key[]} keys
 * @param {number} place from 0
 */
export function highest(keys, place) {
  return keys.slice(0, place + 1).reduce((top, key) => (key.midi > top.midi ? key : top));
}

/**
 * Says which key it is of how many, and whether the next one is higher or lower: "key 2 of 6, going
 * down". Empty if there is only one.
 * @param {Key[]} keys
 * @param {number} place from 0
 */
export function whichKey(keys, place) {
  if (keys.length < 2) return "";
  const values = { n: place + 1, count: keys.length };
  const next = keys[place + 1];
  if (!next) return gettext("key {n} of {count}, the last", values);
  return next.midi > keys[place].midi
    ? gettext("key {n} of {count}, going up", values)
    : gettext("key {n} of {count}, going down", values);
}
