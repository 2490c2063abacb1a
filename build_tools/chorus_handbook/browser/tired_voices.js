// @ts-check
/**
 * Makes a warm-up gentler for an evening on which voices are tired, or colds are going round: the rule
 * of `warmups/tired_voices.py`, which explains it. A place is that of an item in the plan, from 0; it
 * stays the same when other items are left out.
 */

import { inKeys, lower } from "./key_choice.js";
import { instead } from "./tonight.js";

/** @import { Item } from "./planning.js" */
/** @import { Swap } from "./swaps.js" */
/** @import { Tonight } from "./tonight.js" */

/** By how many semitones keys are lowered, and the highest impact that an item may still have. */
export const SEMITONES = 2;
export const IMPACT = 3;
/** The main goal of exercises for words, which cannot be hummed. */
const WORDS = "diction";

/**
 * A warm-up made gentler. `items`: what is sung, by place. `swaps`: the exercises that take the places of
 * others, by place. `leftOut`: the places of items for which there was nothing gentler. `notLower`: the
 * places of items that begin less than two semitones lower. `halfClosed`: for how many keys an item is
 * first sung on a half-closed sound (a hum, a trill or a straw), by place.
 * @typedef {{items: Map<number, Item>, swaps: Map<number, Swap>, leftOut: number[],
 *   notLower: number[], halfClosed: Map<number, number>}} Gentler
 */

/** The warm-up for tired voices. Strong items for which there is no swap are left out, but never the last item that is left. @param {Tonight} tonight @returns {Gentler} */
export function makeGentler(tonight) {
  const order = tonight.order(tonight.items);
  /** @param {Item} item @param {string[]} there */
  const lowered = (item, there) => loweredItem(tonight, item, there);
  /** @type {Gentler["items"]} */
  const items = new Map(tonight.items.map((item, place) => [place, lowered(item, order.items[place].there)]));
  /** @type {Gentler["swaps"]} */
  const taken = new Map();
  /** @type {number[]} */
  const leftOut = [];
  for (const [place, item] of [...items]) {
    if (tonight.numbers(item.exercise).impact <= IMPACT) continue;
    const index = [...items.keys()].indexOf(place);
    const [swap] = tonight.swaps([...items.values()], index, "gentler", lowered, IMPACT);
    if (swap) {
      taken.set(place, swap);
      const other = instead(item, swap.item.slug);
      items.set(place, swap.keys === null ? other : { ...other, keys: swap.keys });
    } else if (items.size > 1) {
      items.delete(place);
      leftOut.push(place);
    }
  }
  return {
    items,
    swaps: taken,
    leftOut,
    notLower: [...items].flatMap(([place, item]) => (beginsAsHigh(tonight, place, item) ? [place] : [])),
    halfClosed: halfClosed(tonight, items),
  };
}

/** The item in lower keys, if it has any that suit the voices that are there. @param {Tonight} tonight @param {Item} item @param {string[]} there */
function loweredItem(tonight, item, there) {
  const numbers = tonight.numbers(item.exercise);
  const row = tonight.tonics(item);
  const low = lower(row, SEMITONES, numbers, there, tonight.planning.voices);
  return low.join() === row.join() ? item : inKeys(item, low, numbers);
}

/** Whether an item that stays begins less than two semitones lower than planned. @param {Tonight} tonight @param {number} place @param {Item} item */
function beginsAsHigh(tonight, place, item) {
  const planned = tonight.items[place];
  if (item.exercise !== planned.exercise) return false;
  const [now, before] = [tonight.tonics(item), tonight.tonics(planned)];
  return now.length > 0 && before[0] - now[0] < SEMITONES;
}

/** For how many keys each item is first sung on a half-closed sound, by place (`Gentler.halfClosed`). @param {Tonight} tonight @param {Map<number, Item>} items */
export function halfClosed(tonight, items) {
  /** @type {Map<number, number>} */
  const found = new Map();
  for (const [place, item] of items) {
    const numbers = tonight.numbers(item.exercise);
    const keys = tonight.tonics(item).length;
    const sung = keys && Object.keys(numbers.singing ?? {}).length && !numbers.half_closed;
    if (sung && numbers.main_goal !== WORDS) found.set(place, Math.floor((keys + 1) / 2));
  }
  return found;
}
