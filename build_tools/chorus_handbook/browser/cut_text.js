// @ts-check
/** Shortens a text at the end of a clause, for the cue sheet of a draft. The rule is that of `in_short` in `pages/order_rows.py`. */

import { RULES } from "./warm_up_rules.js";

const { steps: MOST_STEPS, lengths: LENGTHS } = RULES.sheet;
/** More words than any text of an exercise has: nothing is cut. */
const WHOLE = LENGTHS[LENGTHS.length - 1][1];
/** Stands at the end of a text that was shortened. */
const CUT = " …";
/** A text is not cut before it has this many words, because fewer are not understood alone. */
const LEAST_WORDS = 3;

/**
 * As many whole clauses of a text as have at most `most` words together; the first one in any case.
 * @param {string} text
 * @param {number} most
 */
export function cutText(text, most) {
  const words = text.split(/\s+/).filter(Boolean);
  if (words.length <= most) return text;
  const ends = words.flatMap((word, place) => (place + 1 >= LEAST_WORDS && /[,;:.!?]$/.test(word) ? [place + 1] : []));
  const fitting = ends.filter((end) => end <= most);
  const end = fitting.at(-1) ?? ends[0] ?? words.length;
  return end === words.length ? text : words.slice(0, end).join(" ").replace(/[,;:.]+$/, "") + CUT;
}

/**
 * The first steps, each cut like that (`short_steps` in `pages/order_rows.py`); all of them if nothing is
 * cut.
 * @param {string[]} steps
 * @param {number} most
 */
export function cutSteps(steps, most) {
  if (most >= WHOLE) return steps;
  const shown = steps.slice(0, MOST_STEPS).map((step) => cutText(step, most));
  const last = shown[shown.length - 1];
  if (steps.length > shown.length && !last.endsWith(CUT)) shown[shown.length - 1] = last.replace(/[,;:.]+$/, "") + CUT;
  return shown;
}
