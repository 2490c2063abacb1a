// @ts-check
/**
 * A warm-up that can be changed on the evening itself, and all exercises that could be sung instead:
 * the same as `warmups/tonight.py`. `late.js` makes it shorter and `tired_voices.js` gentler; `swaps.js`
 * finds what may take an item's place. All of them change items as they are written in a file;
 * `Tonight.order` makes the running order of the changed items: their times, keys and voices.
 */

import { total } from "./clock.js";
import { fewer, inKeys, tonicsIn } from "./key_choice.js";
import { runningOrder } from "./planning.js";
import { dayNumber } from "./rotation.js";
import { FACTS } from "./shared_facts.js";
import { swaps } from "./swaps.js";
import { codeOf, findings } from "./warm_up_checks.js";

/** @import { Item, Plan, Planning, RunningOrder } from "./planning.js" */
/** @import { Candidate, Wish } from "./swaps.js" */

export class Tonight {
  /** @param {Plan} plan @param {Planning} planning */
  constructor(plan, planning) {
    this.plan = plan;
    this.planning = planning;
  }

  /** The items as they are written in the plan. @returns {Item[]} */
  get items() {
    return this.plan.items;
  }

  /** What planning needs to know of an exercise. @param {string} slug */
  numbers(slug) {
    return this.planning.exercises[slug];
  }

  /** The running order of the same warm-up with other items, and other values in `fields`. @param {Item[]} items @param {Partial<Plan>} [fields] */
  order(items, fields = {}) {
    return runningOrder({ ...this.plan, items, ...fields }, this.planning);
  }

  /** The keys in which an item is sung, as the MIDI numbers of their tonics. @param {Item} item */
  tonics(item) {
    return tonicsIn(item, this.numbers(item.exercise));
  }

  /**
   * The exercises that could take an item's place, the best first.
   * @param {Item[]} items
   * @param {number} index the place of the item among `items`, from 0
   * @param {Wish | null} [wish] what the exercise should be like
   * @param {(item: Item, there: string[]) => Item} [changed] changes each exercise before it is
   *   considered, for the voices that are there: into lower keys, for instance
   * @param {number} [strongest] the highest impact that an exercise may have
   */
  swaps(items, index, wish = null, changed = (item) => item, strongest = Infinity) {
    const order = this.order(items);
    const { there } = order.items[index];
    const room = this.room(order, index);
    const candidates = Object.keys(this.planning.exercises)
      .sort()
      .filter((slug) => this.numbers(slug).impact <= strongest)
      .map((slug) => this.fitting(changed(instead(items[index], slug), there), there, room));
    const own = this.candidate(items[index], there);
    return swaps(order, index, own, candidates, wish);
  }

  /** How long an item may take in place of the one at `index`, in half-seconds. @param {RunningOrder} order @param {number} index */
  room(order, index) {
    const { length } = order.items[index];
    return Math.max(length, (order.allowed ?? 0) - total(order.items) + length);
  }

  /**
   * An item as it may take another's place. Its last keys are left out until it takes no longer than
   * `room`, or has few keys left.
   * @param {Item} item
   * @param {string[]} there the voices that are present
   * @param {number} room in half-seconds
   */
  fitting(item, there, room) {
    let written = item;
    let candidate = this.candidate(written, there);
    while (candidate.item.length > room) {
      const row = this.tonics(written);
      const short = fewer(row);
      if (short.length === row.length) break;
      written = inKeys(written, short, this.numbers(item.exercise));
      candidate = this.candidate(written, there);
    }
    return candidate;
  }

  /**
   * An item as it may take another's place.
   * @param {Item} item
   * @param {string[]} there the voices that are present
   * @returns {Candidate}
   */
  candidate(item, there) {
    const numbers = this.numbers(item.exercise);
    const plan = { ...this.plan, items: [item], present: there, there: {} };
    const day = dayNumber(this.plan.date);
    const all = Object.hasOwn(this.planning.sung, item.exercise) ? this.planning.sung[item.exercise] : [];
    const days = all.map(dayNumber).filter((sung) => sung < day);
    return {
      item: runningOrder(plan, this.planning).items[0],
      goals: numbers.goals ?? [],
      moment: numbers.moment ?? "",
      seated: numbers.seated ?? false,
      quick: numbers.quick ?? false,
      outings: days.filter((sung) => day - sung <= FACTS.rotation.known_within).length,
      rested: days.length ? day - days[days.length - 1] : null,
      keys: item.keys ?? null,
    };
  }
}

/**
 * The codes of all that the checks find in a running order, each followed by the exercise that it is
 * about, or by nothing if it is about the whole warm-up. Because exercises are named and not places, a
 * finding stays the same when items before it are left out.
 * @param {RunningOrder} order
 */
export function found(order) {
  const slug = (/** @type {number | null} */ item) => (item === null ? "" : order.items[item].slug);
  return new Set(findings(order).map(({ name, item }) => `${codeOf(name)} ${slug(item)}`));
}

/**
 * After how many of the items at some places of a plan latecomers join in; undefined if they begin with
 * the others, or the plan does not say.
 * @param {number | undefined} joinIn after how many items of the plan they were to join in
 * @param {number[]} places from 0
 */
export function joinInAmong(joinIn, places) {
  return places.filter((place) => place < (joinIn ?? 0)).length || undefined;
}

/**
 * Another exercise in an item's place. Who leads it, whether it may be left out, and when a later block
 * begins with it stay the same.
 * @param {Item} item
 * @param {string} exercise its slug
 * @returns {Item}
 */
export function instead(item, exercise) {
  /** @type {Item} */
  const other = { exercise };
  if (item.by) other.by = item.by;
  if (item.if_time) other.if_time = item.if_time;
  if (item.at) other.at = item.at;
  return other;
}
