// @ts-check
/**
 * Chooses among an exercise's own keys: lower ones, or fewer of them. The rules are those of
 * `warmups/key_choice.py`. A row is the keys in which an item is sung, in that order: the MIDI numbers of
 * their tonics.
 */

import { plannedPlaces, reachIn } from "./planning.js";

/** @import { Item, Numbers, Planning } from "./planning.js" */

/** How many keys an item keeps at least when it is made shorter. */
const LEAST = 2;

/** The row of keys in which an item is sung. @param {Item} item @param {Numbers} numbers */
export function tonicsIn(item, numbers) {
  return plannedPlaces(item, numbers).map((place) => (numbers.tonics ?? [])[place]);
}

/**
 * The item in this row of keys, with its field `keys` as in a file ("D4 up to F4"), or without that
 * field if the row is all keys of the exercise.
 * @param {Item} item
 * @param {number[]} row
 * @param {Numbers} numbers
 * @returns {Item}
 */
export function inKeys(item, row, { tonics = [], keys = [] }) {
  const { keys: _, ...rest } = item;
  if (row.length === tonics.length && row.every((key, n) => key === tonics[n])) return rest;
  /** @param {number} key */
  const name = (key) => keys[tonics.lastIndexOf(key)];
  const back = goesBack(row);
  const [first, turn] = [row[0], row[back ? Math.floor(row.length / 2) : row.length - 1]];
  if (row.length === 1) return { ...rest, keys: name(first) };
  const text = `${name(first)} ${turn > first ? "up" : "down"} to ${name(turn)}`;
  const tones = Math.abs(row[1] - row[0]) === 2;
  return { ...rest, keys: text + (back ? " and back" : "") + (tones ? " by whole tones" : "") };
}

/**
 * The row without its last key; if it goes there and back, without the key where it turns and one
 * beside that. The same row if it has few keys already.
 * @param {number[]} row
 */
export function fewer(row) {
  const back = goesBack(row);
  if (row.length <= LEAST || (back && row.length === LEAST + 1)) return row;
  const half = Math.floor(row.length / 2);
  return back ? [...row.slice(0, half), ...row.slice(half + 2)] : row.slice(0, -1);
}

/**
 * The row about `semitones` lower: each key becomes the nearest of the exercise's own keys that is at
 * least so much lower. `lower` in `warmups/key_choice.py` says which keys are left out. The same row if
 * the keys that are left make no row.
 * @param {number[]} row
 * @param {number} semitones
 * @param {Numbers} numbers
 * @param {string[]} there the voices that are present
 * @param {Planning["voices"]} voices with their comfortable ranges
 */
export function lower(row, semitones, numbers, there, voices) {
  const { tonics = [] } = numbers;
  const singing = Object.keys(numbers.voices ?? {}).filter((voice) => there.includes(voice));
  /** @param {string} voice @param {number} key */
  const lowest = (voice, key) => reachIn(numbers, voice, tonics.indexOf(key))?.lowest ?? null;
  const floors = singing.flatMap((voice) => {
    const before = row.map((key) => lowest(voice, key)).filter((note) => note !== null);
    return before.length ? [{ voice, floor: Math.min(voices[voice].low, ...before) }] : [];
  });
  /** @type {number[]} */
  const found = [];
  for (const key of row) {
    const below = Math.max(...tonics.filter((other) => other <= key - semitones));
    if (below === -Infinity || found[found.length - 1] === below) continue;
    const fits = floors.every(({ voice, floor }) => (lowest(voice, below) ?? -Infinity) >= floor);
    if (fits) found.push(below);
  }
  return isRow(found) ? found : row;
}

/** Whether a row ends in the key in which it began. @param {number[]} row */
function goesBack(row) {
  return row.length > 2 && row[0] === row[row.length - 1];
}

/** Whether keys can be written as a row: by equal steps, one way or there and back. @param {number[]} row */
function isRow(row) {
  const half = goesBack(row) ? Math.floor(row.length / 2) + 1 : row.length;
  const [there, back] = [row.slice(0, half), row.slice(half - 1)];
  const steps = new Set(there.slice(1).map((key, n) => key - there[n]));
  const even = steps.size <= 1 && [...steps].every((step) => [1, 2].includes(Math.abs(step)));
  const returns = half === row.length || back.join() === [...there].reverse().join();
  return row.length > 0 && even && returns;
}
