// @ts-check
/**
 * Fetches what the exercises of a plan contribute to its music stand and its prints (`draft_parts.js`),
 * and puts with it when each item begins and who is there.
 */

import { clockOf, during, joinsByItem } from "./attendance.js";
import { joinsAfter } from "./check_evening.js";
import { timetable } from "./clock.js";
import { fetchParts, partValues } from "./draft_parts.js";
import { leaving } from "./draft_row.js";

/** @import { Parts, PartItem } from "./draft_parts.js" */
/** @import { Plan, Planning, RunningOrder } from "./planning.js" */

/** An item, and what the places in its parts are filled in with. @typedef {{one: PartItem, values: Record<string, string>}} Taken */

export class PlanParts {
  /** @param {URL} handbook */
  constructor(handbook) {
    this.handbook = handbook;
    /** @type {Map<string, Promise<Parts>>} */
    this.parts = new Map();
  }

  /** The parts of an exercise, kept once they are fetched; if that fails, the next call tries again. @param {string} slug */
  partsOf(slug) {
    const parts = this.parts.get(slug) ?? fetchParts(this.handbook, slug);
    this.parts.set(slug, parts);
    parts.catch(() => this.parts.delete(slug));
    return parts;
  }

  /** The items of a plan with all that its stand and prints need of them. Fails if the parts of one cannot be fetched. @param {Plan} plan @param {RunningOrder} order @param {Planning} planning @returns {Promise<Taken[]>} */
  async items(plan, order, planning) {
    const parts = await Promise.all(order.items.map(({ slug }) => this.partsOf(slug)));
    const slots = timetable(order.items);
    const items = plan.items.filter(({ exercise }) => Object.hasOwn(planning.exercises, exercise));
    const joins = joinsByItem(plan, slots, planning);
    /** @type {PartItem[]} */
    const made = order.items.map((planned, place) => ({
      parts: parts[place],
      item: items[place],
      numbers: planning.exercises[planned.slug],
      planned,
      slot: slots[place],
      number: place + 1,
      begins: clockOf(plan.starts),
      seated: plan.kind === "seated",
      joins: joins[place],
      away: during(plan, slots[place], planning),
      again: order.items.slice(0, place + 1).some(({ at }) => at !== null),
      late: joinsAfter(order) === place && place > 0,
      next: null,
    }));
    for (const [place, one] of made.entries()) one.next = made[place + 1] ?? null;
    return made.map((one) => ({ one, values: partValues(one, planning, leaving(one.item, one.numbers, one.planned.there, planning)) }));
  }
}
