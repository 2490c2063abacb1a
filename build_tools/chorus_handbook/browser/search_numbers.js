// @ts-check
/** Compares a result of the search with the numbers in the query, such as "4 parts" or "3 minutes". */

/** @import { Entry } from "./search_entries.js" */
/** @import { Numbers } from "./search_query.js" */

/**
 * How well an entry fits the numbers in the query, from 0 to 1. It matters only for entries that do not
 * contradict them, since the others come last anyway.
 * @param {Entry} entry
 * @param {Numbers} numbers
 */
export function fitTo(entry, numbers) {
  let fit = 1;
  for (const [name, number] of Object.entries(numbers)) {
    if (name === "minutes" && entry.minutes) fit *= minutesFit(entry, number);
    else if (entry.kind !== "exercise") fit *= 0.6;
  }
  return fit;
}

/** Whether a warm-up or routine takes about the minutes asked for, if nothing else is asked for. @param {Entry} entry @param {Numbers} numbers */
export function isAsLong({ minutes }, numbers) {
  return Boolean(minutes && numbers.minutes && Object.keys(numbers).length === 1 && Math.abs(minutes - numbers.minutes) <= numbers.minutes / 5);
}

/** How well the length of an exercise fits the minutes asked for, from 0 to 1. @param {Entry} entry @param {number} asked */
function minutesFit({ minutes = 0, known = minutes }, asked) {
  if (minutes === asked || known === asked) return 1;
  if (Math.abs(minutes - asked) <= asked / 5) return 0.9;
  if (minutes < asked) return 0.75;
  return known <= asked ? 0.5 : 0.3;
}

/**
 * Whether an exercise has another number than was asked for, or takes longer even once it is known.
 * @param {Entry} entry
 * @param {Numbers} numbers
 */
export function contradicts({ kind, voices, impact, level, minutes = 0, known = minutes }, numbers) {
  if (kind !== "exercise") return false;
  const is = { parts: voices, impact, level };
  if (numbers.minutes && known > numbers.minutes) return true;
  return /** @type {const} */ (["parts", "impact", "level"]).some((name) => numbers[name] !== undefined && numbers[name] !== is[name]);
}
