// @ts-check
/**
 * Reads the field `keys` of an item, such as "D4 up to F4", as `entries/keys.py` does: into the MIDI
 * numbers of the tonics, in the order in which they are sung.
 */

import { FACTS } from "./shared_facts.js";

/** A first key; then "up to" or "down to" another; then "and back"; then "by whole tones" or "by semitones". All but the first are optional. */
const KEYS =
  /^\s*([A-Ga-g](?:##|#|bb|b)?-?\d)(?:\s+(up|down)\s+to\s+([A-Ga-g](?:##|#|bb|b)?-?\d))?(\s+and\s+back)?(\s+by\s+(?:whole\s+tones|semitones))?\s*$/;

/**
 * The MIDI number of a written note such as "Bb3".
 * @param {string} note
 */
export function midiOf(note) {
  const { letters, naturals } = FACTS.pitch;
  const [, letter, sign, octave] = /^([A-Ga-g])([#b]*)(-?\d)$/.exec(note) ?? ["", "C", "", "4"];
  const alter = sign.startsWith("#") ? sign.length : -sign.length;
  return 12 * (Number(octave) + 1) + naturals[letters.indexOf(letter.toUpperCase())] + alter;
}

/**
 * The tonics of a row of keys; null if the text cannot be read.
 * @param {string} text
 * @returns {number[] | null}
 */
export function tonicsOf(text) {
  const found = KEYS.exec(text);
  if (!found) return null;
  const start = midiOf(found[1]);
  const distance = (found[3] ? midiOf(found[3]) : start) - start;
  const stride = found[5]?.includes("whole") ? 2 : 1;
  const wrongWay = found[2] && (found[2] === "up" ? distance <= 0 : distance >= 0);
  if (wrongWay || distance % stride || (!found[2] && (found[4] || stride === 2))) return null;
  const step = distance >= 0 ? stride : -stride;
  const there = Array.from({ length: Math.abs(distance) / stride + 1 }, (_, n) => start + n * step);
  return found[4] ? [...there, ...there.slice(0, -1).reverse()] : there;
}
