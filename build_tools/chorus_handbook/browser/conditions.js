// @ts-check
/**
 * Tests whether an exercise meets conditions, and sorts exercises. A view (a list that a handbook saves
 * as conditions in views.yml) and the page "Find an exercise" use them. The rule is that of
 * `views/evaluate.py`, on the same plain data. All numbers in rows are whole; a field without a value is
 * missing or null.
 */

/** @typedef {string | number | boolean | null} Item */
/** What is known of one exercise, by field. @typedef {Record<string, Item | string[] | undefined>} Row */

/**
 * One test of one field. `values`: the words or numbers to compare with; for "between" the lower and
 * the upper bound, either of which may be null; for "stated" and "not-stated" none.
 * @typedef {object} Condition
 * @property {string} field
 * @property {"one-of" | "none-of" | "between" | "stated" | "not-stated"} test
 * @property {Item[]} values
 */

/**
 * All conditions in `all` must be met and, unless `any` is empty, all conditions of at least one of its
 * groups.
 * @typedef {{ all: Condition[], any: Condition[][] }} Rule
 */

/**
 * Whether a row meets one condition. A field without a value meets only "none-of" and "not-stated".
 * @param {Row} row
 * @param {Condition} condition
 */
export function meets(row, { field, test, values }) {
  const value = valueOf(row, field);
  if (test === "stated") return value !== null;
  if (test === "not-stated") return value === null;
  if (test === "between") {
    if (typeof value !== "number" && typeof value !== "boolean") return false;
    const [low, high] = values;
    return (low === null || Number(low) <= Number(value)) && (high === null || Number(value) <= Number(high));
  }
  const items = Array.isArray(value) ? value : value === null ? [] : [value];
  return items.some((item) => values.includes(item)) === (test === "one-of");
}

/**
 * Whether an exercise with this row belongs to a view with this rule.
 * @param {Rule} rule
 * @param {Row} row
 */
export function admits(rule, row) {
  /** @param {Condition[]} group */
  const all = (group) => group.every((condition) => meets(row, condition));
  return all(rule.all) && (!rule.any.length || rule.any.some(all));
}

/**
 * Rows sorted by the fields in `order`: numbers upwards, words by their places, missing values last.
 * Rows that are equal in all of these fields stay in the order in which they came: by title, if they are
 * those of index.json.
 * @template {Row} T
 * @param {T[]} rows
 * @param {string[]} order
 * @param {Record<string, Record<string, number>>} places by field, the place of each of its words
 */
export function inOrder(rows, order, places) {
  const keys = order.map((field) => {
    const words = places[field] ?? {};
    return /** @param {T} row */ (row) => {
      const value = valueOf(row, field);
      if (value === null) return Infinity;
      if (typeof value !== "string") return Number(value);
      return Object.hasOwn(words, value) ? words[value] : Object.keys(words).length;
    };
  });
  const sorted = rows.map((row) => ({ row, key: keys.map((key) => key(row)) }));
  sorted.sort((one, other) => {
    const first = one.key.findIndex((value, place) => value !== other.key[place]);
    return first < 0 ? 0 : one.key[first] < other.key[first] ? -1 : 1;
  });
  return sorted.map(({ row }) => row);
}

/**
 * The value of a field; null if the row has none.
 * @param {Row} row
 * @param {string} field
 */
function valueOf(row, field) {
  return Object.hasOwn(row, field) ? row[field] ?? null : null;
}
