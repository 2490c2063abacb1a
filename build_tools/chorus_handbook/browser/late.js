// @ts-check
/**
 * Makes a warm-up fit into less time: the rule of `warmups/late.py`, which explains it. A place is that
 * of an item in the plan, from 0; it stays the same when other items are left out. Times are in
 * half-seconds.
 */

import { clockOf } from "./attendance.js";
import { checkClose, wakes } from "./check_build_up.js";
import { blocks } from "./check_occasion.js";
import { MINUTE, cutOrder, timeOfDay, total } from "./clock.js";
import { fewer, inKeys } from "./key_choice.js";
import { knownLength } from "./planning.js";
import { isQuiet } from "./swaps.js";
import { found, joinInAmong } from "./tonight.js";

/** @import { Item, RunningOrder } from "./planning.js" */
/** @import { Tonight } from "./tonight.js" */

/** How well the chorus knows an item, in the order in which items are left out. */
const LEAST_NEEDED = ["new", "resting", "known", "settling"];
/** How many items a warm-up, or its first block, keeps at least. */
const LEAST = 2;
/** The minutes of an item are rounded up to quarters. */
const QUARTER = MINUTE / 4;

/** What is sung, by its place in the plan. @typedef {Map<number, Item>} Items */

/**
 * A warm-up made shorter. `items`: what is sung. `leftOut`: the places of items that are not, in the
 * order in which they were left out. `over`: by how much it is still too long; 0 if it fits.
 * `joinIn`: after how many of the items latecomers join in, if the plan says so.
 * @typedef {{items: Items, leftOut: number[], over: number, joinIn: number | undefined}} Shortened
 */

/**
 * The warm-up in `time` half-seconds, or as near to that as is safe.
 * @param {Tonight} tonight
 * @param {number} time
 * @param {boolean} [gentle] for tired voices, so that items on half-closed sounds stay longest
 */
export function shorten(tonight, time, gentle = false) {
  return new Shortening(tonight, time, gentle).result();
}

/**
 * What the checks find, and how a first block ends if another follows: no check asks that, but after a
 * late start it must not end on full singing instead of a close.
 * @param {RunningOrder} order
 */
function harm(order) {
  const all = found(order);
  const [first, second] = blocks(order.items);
  if (!second) return all;
  const slug = first[first.length - 1].slug;
  const ends = checkClose({ ...order, items: first, chord_follows: false });
  return new Set([...all, ...ends.map(({ name }) => `${name} first block: ${slug}`)]);
}

/** Shortens one warm-up to `time` half-seconds. */
class Shortening {
  /** @param {Tonight} tonight @param {number} time @param {boolean} gentle */
  constructor(tonight, time, gentle) {
    this.tonight = tonight;
    this.time = time;
    this.gentle = gentle;
    this.planned = tonight.order(tonight.items);
    /** How many items the first block has. */
    this.firstBlock = blocks(this.planned.items)[0].length;
    const late = Math.max(0, Math.round(tonight.plan.minutes * MINUTE) - time);
    this.starts = timeOfDay(clockOf(tonight.plan.starts), late);
    const begunLate = tonight.order(tonight.items, { starts: this.starts });
    this.harmBefore = new Set([...harm(this.planned), ...harm(begunLate)]);
    this.quietAtFirst = this.beginsQuietly([...tonight.items.keys()]);
    /** The places of the items of the first block that are sung only if there is time, the first to go first; `optional` without those that are spared. */
    this.cutOrder = cutOrder(this.planned.items).filter((place) => place < this.firstBlock);
    this.optional = this.cutOrder.filter((place) => !this.spared(place));
    this.leftOutOrder = this.placesToLeaveOut();
  }

  /** @returns {Shortened} */
  result() {
    const whole = this.known(this.without(new Map(this.tonight.items.entries())));
    let items = whole;
    let short = this.inFewerKeys(items);
    while (this.over(short) > 0) {
      const rest = this.withoutOne(items);
      if (!rest) break;
      items = rest;
      short = this.inFewerKeys(items);
    }
    for (const place of [...this.leftOutOrder].reverse()) {
      if (!whole.has(place) || short.has(place)) continue;
      const kept = short;
      const withIt = this.inFewerKeys(new Map([...whole].filter(([other]) => other === place || kept.has(other))));
      if (this.over(withIt) <= 0 && this.safe(withIt)) short = withIt;
    }
    const leftOut = this.leftOutOrder.filter((place) => !short.has(place));
    return { items: short, leftOut, over: Math.max(0, this.over(short)), joinIn: this.joinIn(short) };
  }

  /** By how much items take too long; negative if there is time left. @param {Items} items */
  over(items) {
    return total(this.tonight.order([...items.values()]).items) - this.time;
  }

  /** Whether items, begun late, have no harm that the plan had not. @param {Items} items */
  safe(items) {
    const fields = { starts: this.starts, join_in: this.joinIn(items) };
    return [...harm(this.tonight.order([...items.values()], fields))].every((one) => this.harmBefore.has(one));
  }

  /** After how many of these items latecomers join in. @param {Items} items */
  joinIn(items) {
    return joinInAmong(this.tonight.plan.join_in, [...items.keys()]);
  }

  /** Whether enough items of the first block are left. @param {Items} items */
  enough(items) {
    return [...items.keys()].filter((place) => place < this.firstBlock).length >= LEAST;
  }

  /** Whether the first of the planned items at `places` that needs a voice is quiet. @param {number[]} places */
  beginsQuietly(places) {
    const first = places.map((place) => this.planned.items[place]).find(({ impact }) => impact > 1);
    return first !== undefined && isQuiet(first);
  }

  /** The items without as many of those that are sung only if there is time as must go. @param {Items} items */
  without(items) {
    let left = items;
    for (const place of this.optional) {
      const rest = withoutPlace(left, place);
      if (this.over(left) > 0 && this.enough(rest) && this.safe(rest)) left = rest;
    }
    return left;
  }

  /** The items without the one that is needed least; null if all are needed. @param {Items} items */
  withoutOne(items) {
    for (const place of this.leftOutOrder) {
      if (!items.has(place) || !this.mayGo(place)) continue;
      const rest = withoutPlace(items, place);
      const quiet = !this.quietAtFirst || this.beginsQuietly([...rest.keys()]);
      if (quiet && this.enough(rest) && this.safe(rest)) return rest;
    }
    return null;
  }

  /** Whether an item of the first block may be left out: not its last, nor an opener or closer of the season, nor what wakes body or breath at the beginning. @param {number} place */
  mayGo(place) {
    const opens = place === 0 && wakes(this.planned.items[place]);
    return place !== this.firstBlock - 1 && !opens && !this.tonight.items[place].keep;
  }

  /** The places of the first block: first those that are sung only if there is time, then the others, beginning with the one that is needed least. */
  placesToLeaveOut() {
    const planned = this.planned.items;
    const places = [...planned.keys()].slice(0, this.firstBlock);
    const others = places.filter((place) => !this.optional.includes(place));
    const cut = (/** @type {number} */ place) => (this.cutOrder.includes(place) ? this.cutOrder.indexOf(place) : this.cutOrder.length);
    others.sort(
      (one, other) =>
        Number(this.spared(one)) - Number(this.spared(other)) ||
        cut(one) - cut(other) ||
        this.forTheMusic(one) - this.forTheMusic(other) ||
        LEAST_NEEDED.indexOf(planned[one].status) - LEAST_NEEDED.indexOf(planned[other].status) ||
        planned[other].length - planned[one].length ||
        other - one
    );
    return [...this.optional, ...others];
  }

  /** Whether an item stays longer than others because it is gentle to tired voices. @param {number} place */
  spared(place) {
    return this.gentle && this.planned.items[place].half_closed;
  }

  /** 2 if an item is mainly for a goal of the music that follows, 1 if it has one among its other goals, else 0. @param {number} place */
  forTheMusic(place) {
    const { goals = [], main_goal = "" } = this.tonight.numbers(this.planned.items[place].slug);
    const { music } = this.planned;
    return Number(music.some((goal) => goals.includes(goal))) + Number(music.includes(main_goal));
  }

  /** The items, those of the first block with the time that each takes once it is known, if that is shorter and still needed. @param {Items} items */
  known(items) {
    let left = items;
    for (const [place, item] of items) {
      if (place >= this.firstBlock) break;
      const short = this.withKnownTime(item);
      if (this.over(left) > 0 && this.length(short) < this.length(item)) {
        const changed = new Map(left).set(place, short);
        if (this.safe(changed)) left = changed;
      }
    }
    return left;
  }

  /** The item with the time that it takes once it is known. @param {Item} item @returns {Item} */
  withKnownTime(item) {
    const time = knownLength(item, this.tonight.numbers(item.exercise));
    return { ...item, minutes: Math.ceil(time / QUARTER) / 4 };
  }

  /** How long an item takes. @param {Item} item */
  length(item) {
    return this.tonight.order([item]).items[0].length;
  }

  /** The items, with keys left out of whichever of the first block is longest until they fit or none can be shortened. @param {Items} items */
  inFewerKeys(items) {
    let left = items;
    const stuck = new Set();
    while (this.over(left) > 0) {
      const lengths = new Map([...left].map(([place, item]) => [place, this.length(item)]));
      const places = [...left.keys()].filter((place) => place < this.firstBlock && !stuck.has(place));
      places.sort((one, other) => (lengths.get(other) ?? 0) - (lengths.get(one) ?? 0) || other - one);
      const item = left.get(places[0]);
      if (!item) break;
      const short = this.inOneKeyFewer(item);
      const changed = short && new Map(left).set(places[0], short);
      if (changed && this.safe(changed)) left = changed;
      else stuck.add(places[0]);
    }
    return left;
  }

  /** The item in one key fewer (in two, if the keys go there and back); null if it has few keys, or would take as long without them. @param {Item} item */
  inOneKeyFewer(item) {
    const row = this.tonight.tonics(item);
    const less = fewer(row);
    if (less.length === row.length) return null;
    let short = inKeys(item, less, this.tonight.numbers(item.exercise));
    if (item.minutes !== undefined) short = this.withKnownTime(short);
    return this.length(short) < this.length(item) ? short : null;
  }
}

/** The items without the one at `place`. @param {Items} items @param {number} place @returns {Items} */
function withoutPlace(items, place) {
  return new Map([...items].filter(([other]) => other !== place));
}
