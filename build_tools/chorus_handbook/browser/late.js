// @ts-check
/**
 * Makes a warm-up fit into less time: the rule of `warmups/late.py`, which explains it. A place is that
 * of an item in the plan, from 0; it stays the same when other items are left out. Times are in
 * half-seconds.
 */

import { MINUTE, cutOrder, total } from "./clock.js";
import { fewer, inKeys } from "./key_choice.js";
import { knownLength } from "./planning.js";
import { found } from "./tonight.js";

/** @import { Item } from "./planning.js" */
/** @import { Tonight } from "./tonight.js" */

/** How well the chorus knows an item, in the order in which items are left out. */
const LEAST_NEEDED = ["new", "resting", "settling", "known"];
/** How many items a warm-up keeps at least. */
const LEAST = 2;
/** The minutes of an item are rounded up to quarters. */
const QUARTER = MINUTE / 4;

/** What is sung, by its place in the plan. @typedef {Map<number, Item>} Items */

/**
 * A warm-up made shorter. `items`: what is sung. `leftOut`: the places of items that are not, in the
 * order in which they were left out. `over`: by how much it is still too long; 0 if it fits.
 * @typedef {{items: Items, leftOut: number[], over: number}} Shortened
 */

/**
 * The warm-up in `time` half-seconds, or as near to that as is safe.
 * @param {Tonight} tonight
 * @param {number} time
 * @returns {Shortened}
 */
export function shorten(tonight, time) {
  const planned = tonight.order(tonight.items).items;
  const before = found(tonight.order(tonight.items));
  const optional = cutOrder(planned);
  const others = planned.map((_, place) => place).filter((place) => !optional.includes(place));
  others.sort(
    (one, other) =>
      LEAST_NEEDED.indexOf(planned[one].status) - LEAST_NEEDED.indexOf(planned[other].status) ||
      planned[other].length - planned[one].length ||
      other - one
  );
  const leftOutOrder = [...optional, ...others];
  /** @param {Items} items */
  const over = (items) => total(tonight.order([...items.values()]).items) - time;
  /** @param {Items} items */
  const safe = (items) => [...found(tonight.order([...items.values()]))].every((one) => before.has(one));

  let items = without(new Map(tonight.items.entries()), optional, over, safe);
  items = known(tonight, items, over, safe);
  let short = inFewerKeys(tonight, items, over, safe);
  while (over(short) > 0) {
    const rest = withoutOne(tonight, items, leftOutOrder, safe);
    if (!rest) break;
    items = rest;
    short = inFewerKeys(tonight, items, over, safe);
  }
  const leftOut = leftOutOrder.filter((place) => !short.has(place));
  return { items: short, leftOut, over: Math.max(0, over(short)) };
}

/** Says by how much items take too long; negative if there is time left. @typedef {(items: Items) => number} Over */
/** Says whether the checks find nothing in items that they did not find in the plan. @typedef {(items: Items) => boolean} Safe */

/** The items without as many of those at `places` as must go. @param {Items} items @param {number[]} places @param {Over} over @param {Safe} safe */
function without(items, places, over, safe) {
  let left = items;
  for (const place of places) {
    const rest = withoutPlace(left, place);
    if (over(left) > 0 && rest.size >= LEAST && safe(rest)) left = rest;
  }
  return left;
}

/** The items without the one at `place`. @param {Items} items @param {number} place @returns {Items} */
function withoutPlace(items, place) {
  return new Map([...items].filter(([other]) => other !== place));
}

/** The items without the one that is needed least; null if all are needed. @param {Tonight} tonight @param {Items} items @param {number[]} order the places, those that are needed least first @param {Safe} safe */
function withoutOne(tonight, items, order, safe) {
  for (const place of order) {
    const last = place === tonight.items.length - 1;
    if (!items.has(place) || last || tonight.items[place].keep) continue;
    const rest = withoutPlace(items, place);
    if (rest.size >= LEAST && safe(rest)) return rest;
  }
  return null;
}

/** The items, each with the time that it takes once it is known, if that is shorter and still needed. @param {Tonight} tonight @param {Items} items @param {Over} over @param {Safe} safe */
function known(tonight, items, over, safe) {
  let left = items;
  for (const [place, item] of items) {
    const short = withKnownTime(tonight, item);
    if (over(left) > 0 && lengthOf(tonight, short) < lengthOf(tonight, item)) {
      const changed = new Map(left).set(place, short);
      if (safe(changed)) left = changed;
    }
  }
  return left;
}

/** The item with the time that it takes once it is known. @param {Tonight} tonight @param {Item} item @returns {Item} */
function withKnownTime(tonight, item) {
  const time = knownLength(item, tonight.numbers(item.exercise));
  return { ...item, minutes: Math.ceil(time / QUARTER) / 4 };
}

/** How long an item takes. @param {Tonight} tonight @param {Item} item */
function lengthOf(tonight, item) {
  return tonight.order([item]).items[0].length;
}

/** The items, with keys left out of whichever is longest until they fit or none can be shortened. @param {Tonight} tonight @param {Items} items @param {Over} over @param {Safe} safe */
function inFewerKeys(tonight, items, over, safe) {
  let left = items;
  const stuck = new Set();
  while (over(left) > 0) {
    const lengths = new Map([...left].map(([place, item]) => [place, lengthOf(tonight, item)]));
    const places = [...left.keys()].filter((place) => !stuck.has(place));
    places.sort((one, other) => (lengths.get(other) ?? 0) - (lengths.get(one) ?? 0) || other - one);
    const item = left.get(places[0]);
    if (!item) break;
    const short = inOneKeyFewer(tonight, item);
    const changed = short && new Map(left).set(places[0], short);
    if (changed && safe(changed)) left = changed;
    else stuck.add(places[0]);
  }
  return left;
}

/** The item in one key fewer (in two, if the keys go there and back); null if it has few keys, or would take as long without them. @param {Tonight} tonight @param {Item} item */
function inOneKeyFewer(tonight, item) {
  const row = tonight.tonics(item);
  const less = fewer(row);
  if (less.length === row.length) return null;
  let short = inKeys(item, less, tonight.numbers(item.exercise));
  if (item.minutes !== undefined) short = withKnownTime(tonight, short);
  return lengthOf(tonight, short) < lengthOf(tonight, item) ? short : null;
}
