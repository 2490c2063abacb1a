// @ts-check
/**
 * Turns a query such as "tuning 4 parts 3 minutes" into choices on the page "Find an exercise": the goal
 * Tuning, four parts, and three minutes at most. The search then offers a link to that page, where all
 * exercises that have this stand in one list, and a reader can choose further.
 */

import { meets } from "./conditions.js";
import { writeAddress } from "./narrowing.js";
import { understand } from "./search_query.js";
import { gettext, ngettext } from "./words.js";

/** @import { Condition, Row } from "./conditions.js" */
/** @import { SearchIndex } from "./search_index.js" */

/** One choice. `value`: as it is written in the address; `label`: as readers see it; `condition`: what an exercise must meet. @typedef {{value: string, label: string, condition: Condition}} Part */
/** All choices. `what`: as readers see them; `address`: that of the page with these choices, below the site; `slugs`: the exercises that it then finds. @typedef {{what: string, address: string, slugs: string[]}} Narrowed */

/** A query must choose something in at least this many fields; for one, a goal's page or a list does as well (our choice). */
const FEWEST_FIELDS = 2;
/** How well a typed word must stand for a word of the handbook, by `CLOSENESS` in `search_query.js`: one slip is allowed, a synonym is not. */
const NEAR = 0.75;
/** A minute in the unit of rows, which is a thousandth of a minute. */
const MINUTE = 1000;
/** The minutes that the page offers as bounds in addition to those that some exercise takes (`pages/facets.py`). */
const PLAIN_MINUTES = [1, 2, 3, 5, 10];
/** What directors call exercises for a moment, besides its label (common practice). They are compared as typed, because by its stem "open" would be one too. */
const CALLED = { opening: ["opener", "openers", "opening"], closing: ["closer", "closers", "closing"] };

/**
 * The choices that a query means; null if it chooses in fewer than two fields, or no exercise has all of
 * it.
 * @param {string} text as it was typed
 * @param {SearchIndex} index
 * @param {Row[]} rows the exercises of index.json
 * @returns {Narrowed | null}
 */
export function narrowedBy(text, index, rows) {
  const { labels } = index;
  const { words, numbers } = understand(text, index.language, index.known);
  const said = words.filter(({ silent, counted }) => !silent && !counted);
  /** The words that are part of something already. @type {Set<unknown>} */
  const used = new Set();
  /** Whether a name is in the query in words that are part of no other choice yet; they then are part of this one. @param {string} name */
  const takes = (name) => {
    const stems = index.language.terms(name);
    const start = said.findIndex((_, place) =>
      stems.every((one, offset) => {
        const word = said[place + offset];
        return word && !used.has(word) && (word.means.get(one) ?? 0) >= NEAR;
      }),
    );
    if (!stems.length || start < 0) return false;
    for (const word of said.slice(start, start + stems.length)) used.add(word);
    return true;
  };
  /** @type {Map<string, Part[]>} */
  const asked = new Map();
  /** @type {(field: string, value: string, label: string, condition?: Partial<Condition>) => void} */
  const ask = (field, value, label, condition = {}) => {
    const part = { value, label, condition: { field, test: /** @type {const} */ ("one-of"), values: [value], ...condition } };
    asked.set(field, [...(asked.get(field) ?? []), part]);
  };

  for (const { entry, first } of index.pieces) {
    if (entry.kind !== "goal" || !first) continue;
    if ([entry.title, ...(entry.words ?? [])].some(takes)) ask("goals", entry.url.split("/")[1], entry.title);
  }
  for (const [moment, names] of Object.entries(CALLED)) {
    const word = said.find(({ typed }) => names.includes(typed));
    if (word && labels.moment?.[moment] && !used.has(word)) ask("moment", moment, labels.moment[moment]);
  }
  const { parts, minutes, level } = numbers;
  const named = Object.entries(labels.impact ?? {}).find(([, label]) => takes(label));
  const impact = numbers.impact ?? (named && Number(named[0]));
  if (impact !== undefined) ask("impact", String(impact), gettext("impact {n}, {word}", { n: impact, word: labels.impact?.[impact] ?? "" }), { values: [impact] });
  if (parts !== undefined) ask("parts", String(parts), ngettext("{n} part", "{n} parts", parts), { values: [parts] });
  const bound = minutes && boundOf(minutes * MINUTE, rows);
  if (bound) {
    const most = bound / MINUTE;
    ask("minutes", `at most ${most}`, ngettext("up to {n} minute", "up to {n} minutes", most), { test: "between", values: [null, bound] });
  }
  if (level !== undefined) ask("level", String(level), gettext("to learn: {level}", { level: labels.level?.[level] ?? level }), { values: [level] });
  for (const field of ["moment", "sounding", "formation"]) {
    for (const [value, label] of Object.entries(labels[field] ?? {})) if (takes(label)) ask(field, value, label);
  }

  if (asked.size < FEWEST_FIELDS) return null;
  const all = [...asked.values()];
  // within a field any of its values, as on that page
  const found = rows.filter((row) => all.every((choices) => choices.some(({ condition }) => meets(row, condition))));
  if (!found.length) return null;
  const values = new Map([...asked].map(([field, choices]) => [field, choices.map(({ value }) => value)]));
  const what = all.flat().map(({ label }) => label).join(" · ");
  return { what, address: `find/${writeAddress(values, "", [""])}`, slugs: found.map(({ slug }) => String(slug)) };
}

/** The highest bound that the page offers and that is no more than was asked for; 0 if there is none. @param {number} asked in thousandths of a minute @param {Row[]} rows */
function boundOf(asked, rows) {
  const stated = rows.map(({ minutes }) => Number(minutes));
  const highest = Math.max(0, ...stated);
  const offered = [...stated, ...PLAIN_MINUTES.map((plain) => plain * MINUTE).filter((plain) => plain < highest)];
  return Math.max(0, ...offered.filter((bound) => bound <= asked));
}
