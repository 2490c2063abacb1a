// @ts-check
/**
 * Narrows exercises down by facets: fields that can be asked for, such as goals or impact. An exercise is
 * found if it has one of the chosen values of each facet in which anything is chosen. For each further
 * choice this module counts how many exercises it would find. `find.js` shows all of it.
 */

import { inOrder, meets } from "./conditions.js";

/** @import { Condition, Item, Row } from "./conditions.js" */

/**
 * One value of a facet. `value`: as it is written in the address and in views.yml; `item`: as rows have
 * it; `label`: as readers see it.
 * @typedef {{ value: string, item: Item, label: string }} Choice
 */

/**
 * A field that can be asked for. `kind`: "several" if any of several values may be chosen; "most" if one
 * bound is, which a number must not exceed; its choices are in ascending order. `legend`: what readers
 * call the field. `inViews`: whether views.yml has this field too.
 * @typedef {object} Facet
 * @property {string} field
 * @property {string} legend
 * @property {"several" | "most"} kind
 * @property {boolean} inViews
 * @property {Choice[]} choices
 */

/** The values that are chosen, by field. @typedef {Map<string, string[]>} Asked */

/**
 * The condition that a row must meet when these values of a facet are chosen.
 * @param {Facet} facet
 * @param {string[]} values
 * @returns {Condition}
 */
export function conditionOf({ field, kind, choices }, values) {
  const items = choices.filter((choice) => values.includes(choice.value)).map((choice) => choice.item);
  return kind === "most"
    ? { field, test: "between", values: [null, items[0] ?? null] }
    : { field, test: "one-of", values: items };
}

/** @template {Row} T */
export class Narrowing {
  /**
   * @param {T[]} rows in the order of their titles
   * @param {Facet[]} facets
   */
  constructor(rows, facets) {
    this.rows = rows;
    this.facets = facets;
    /** @type {Asked} */
    this.asked = new Map();
    /** By field, a 1 for each row that does not meet the facet, else a 0. @type {Map<string, Uint8Array>} */
    this.failing = new Map();
    /** How many facets each row does not meet. */
    this.failures = new Uint8Array(rows.length);
  }

  /**
   * Chooses these values of a facet, and no others of it.
   * @param {Facet} facet
   * @param {string[]} values
   */
  choose(facet, values) {
    if (values.length) this.asked.set(facet.field, values);
    else this.asked.delete(facet.field);
    const before = this.failing.get(facet.field);
    const condition = conditionOf(facet, values);
    const now = values.length ? Uint8Array.from(this.rows, (row) => Number(!meets(row, condition))) : null;
    if (now) this.failing.set(facet.field, now);
    else this.failing.delete(facet.field);
    for (let place = 0; place < this.rows.length; place += 1) {
      this.failures[place] += (now?.[place] ?? 0) - (before?.[place] ?? 0);
    }
  }

  /**
   * The rows that meet all facets, sorted (see `inOrder`).
   * @param {string[]} order
   * @param {Record<string, Record<string, number>>} places
   */
  found(order, places) {
    return inOrder(
      this.rows.filter((_, place) => this.failures[place] === 0),
      order,
      places,
    );
  }

  /**
   * For each choice of a facet, how many exercises it finds among those that meet all other facets.
   * @param {Facet} facet
   * @returns {number[]}
   */
  counts({ field, kind, choices }) {
    const own = this.failing.get(field);
    const places = new Map(choices.map(({ item }, place) => [item, place]));
    /** @type {number[]} */
    const counts = choices.map(() => 0);
    /** @param {Item} item */
    const count = (item) => {
      const place = places.get(item);
      if (place !== undefined) counts[place] += 1;
    };
    for (let place = 0; place < this.rows.length; place += 1) {
      if (this.failures[place] > (own?.[place] ?? 0)) continue;
      const value = this.rows[place][field];
      if (Array.isArray(value)) value.forEach(count);
      else if (value !== undefined) count(value);
    }
    if (kind === "most") for (let place = 1; place < counts.length; place += 1) counts[place] += counts[place - 1];
    return counts;
  }

  /**
   * What to leave out when nothing is found: each facet without which something is found, with how many
   * rows that are; if there is no such facet, each pair of them. The most rows come first.
   * @returns {{ fields: string[], count: number }[]}
   */
  toLeaveOut() {
    const fields = [...this.failing.keys()];
    const single = fields.map((field) => [field]);
    const pairs = fields.flatMap((one, place) => fields.slice(place + 1).map((other) => [one, other]));
    for (const sets of [single, pairs]) {
      const found = sets.map((left) => ({ fields: left, count: this.#without(left) })).filter(({ count }) => count);
      if (found.length) return found.sort((one, other) => other.count - one.count);
    }
    return [];
  }

  /** How many rows meet all facets but these. @param {string[]} fields */
  #without(fields) {
    let count = 0;
    for (let place = 0; place < this.rows.length; place += 1) {
      const left = fields.reduce((sum, field) => sum + (this.failing.get(field)?.[place] ?? 0), 0);
      count += Number(this.failures[place] === left);
    }
    return count;
  }
}

/**
 * Reads the query of an address. Fields and values that are not known are left out of `asked`, and
 * returned in `unknown` as they were written.
 * @param {string} query
 * @param {Facet[]} facets
 * @param {string[]} orders those that can be chosen; the first is used if none is asked
 * @returns {{ asked: Asked, order: string, unknown: string[] }}
 */
export function readAddress(query, facets, orders) {
  /** @type {Asked} */
  const asked = new Map();
  let order = orders[0];
  const unknown = [];
  for (const [field, text] of new URLSearchParams(query)) {
    if (field === "order" && orders.includes(text)) {
      order = text;
      continue;
    }
    const facet = facets.find((one) => one.field === field);
    const values = text.split(",").filter(Boolean);
    const known = values.filter((value) => facet?.choices.some((choice) => choice.value === value));
    const all = [...new Set([...(asked.get(field) ?? []), ...known])];
    if (all.length) asked.set(field, facet?.kind === "most" ? all.slice(-1) : all);
    if (!facet || !values.length) unknown.push(`${field}: ${text}`);
    else unknown.push(...values.filter((value) => !known.includes(value)).map((value) => `${field}: ${value}`));
  }
  return { asked, order, unknown };
}

/**
 * The query that `readAddress` reads as these choices; "?" if nothing is chosen.
 * @param {Asked} asked
 * @param {string} order
 * @param {string[]} orders
 */
export function writeAddress(asked, order, orders) {
  const fields = [...asked].map(([field, values]) => [field, values.join(",")]);
  if (order !== orders[0]) fields.push(["order", order]);
  const written = fields.map(([field, text]) => `${field}=${plain(text)}`);
  return `?${written.join("&")}`;
}

/** A text in a query, with its commas and spaces still readable. @param {string} text */
function plain(text) {
  return encodeURIComponent(text).replaceAll("%2C", ",").replaceAll("%20", "+");
}
