// @ts-check
/**
 * A warm-up that can be changed on the evening itself, with the stock to choose from: the same as
 * `warmups/tonight.py`. `late.js` makes it shorter and `tired_voices.js` gentler; `swaps.js` finds what
 * may take an item's place. All of them change the items as they are written in a file, and see by
 * `order` what comes of it.
 */

import { total } from "./clock.js";
import { fewer, inKeys, tonicsIn } from "./key_choice.js";
import { runningOrder } from "./planning.js";
import { dayNumber } from "./rotation.js";
import { FACTS } from "./shared_facts.js";
import { codeOf, swaps } from "./swaps.js";
import { findings } from "./warm_up_checks.js";

/** @import { Item, Plan, Planning, RunningOrder } from "./planning.js" */
/** @import { Candidate, Wish } from "./swaps.js" */

export class Tonight {
  /** @param {Plan} plan @param {Planning} planning */
  constructor(plan, planning) {
    this.plan = plan;
    this.planning = planning;
  }

  /** @returns {Item[]} the items as they are written */
  get items() {
    return this.plan.items;
  }

  /** @param {string} slug */
  numbers(slug) {
    return this.planning.exercises[slug];
  }

  /** The running order of the same warm-up with other items. @param {Item[]} items */
  order(items) {
    return runningOrder({ ...this.plan, items }, this.planning);
  }

  /** The keys in which an item is sung. @param {Item} item */
  tonics(item) {
    return tonicsIn(item, this.numbers(item.exercise));
  }

  /**
   * The best swaps for the item at a place among items, the best first.
   * @param {Item[]} items
   * @param {number} index
   * @param {Wish | null} [wish]
   * @param {(item: Item, there: string[]) => Item} [changed] what becomes of each exercise first
   * @param {number} [strongest] the highest impact
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

  /** How long an item may take in place of another. @param {RunningOrder} order @param {number} index */
  room(order, index) {
    const { length } = order.items[index];
    return Math.max(length, (order.allowed ?? 0) - total(order.items) + length);
  }

  /**
   * An item as it may take another's place, without as many of its last keys as there is no time for.
   * @param {Item} item
   * @param {string[]} there
   * @param {number} room
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
   * An item as it may take another's place while these voices are there.
   * @param {Item} item
   * @param {string[]} there
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
      outings: days.filter((sung) => day - sung <= FACTS.rotation.known_within).length,
      rested: days.length ? day - days[days.length - 1] : null,
      keys: item.keys ?? null,
    };
  }
}

/**
 * The codes of all findings, each with the exercise that it is about. A finding stays the same when
 * items before it are left out.
 * @param {RunningOrder} order
 */
export function found(order) {
  const slug = (/** @type {number | null} */ item) => (item === null ? "" : order.items[item].slug);
  return new Set(findings(order).map(({ name, item }) => `${codeOf(name)} ${slug(item)}`));
}

/**
 * Another exercise in an item's place: who leads it, and whether it may be left out, stay.
 * @param {Item} item
 * @param {string} exercise
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
