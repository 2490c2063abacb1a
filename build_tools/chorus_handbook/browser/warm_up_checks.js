// @ts-check
/**
 * Runs all checks of a warm-up, the same and in the same order as `warmups/checks/`, so that the page of a
 * draft gives the same notices as `handbook check`. Tests compare what both find: the name of the finding
 * in `warm_up_rules.js`, its item, and its values.
 */

import { checkBody, checkClose, checkExtremes, checkHarmony, checkLeaps, checkLevel, checkStrong } from "./check_build_up.js";
import { checkArrivals, checkFormation, checkJoinIn, checkLength, checkNew, checkParts, checkRunning, checkTime, checkVoices } from "./check_evening.js";
import { checkFromAbove, checkOccasion, checkPhrases, checkSeated, checkStillness } from "./check_occasion.js";
import { RULES } from "./warm_up_rules.js";

/** @import { RunningOrder } from "./planning.js" */

/**
 * A value in a sentence: a number, a text, or an object whose first field says what it holds: a time in
 * half-seconds, an interval, the place of an item, and so on (`warmups/findings.py`).
 * @typedef {number | string | Record<string, unknown>} Value
 */

/**
 * What a rule found: its name in `RULES.findings`, the place of its item from 0 (null for the whole
 * warm-up), and what its sentences are filled in with.
 * @typedef {{name: string, item: number | null, values: Record<string, Value>}} Finding
 */

/** The checks that protect voices, which routines must pass too. */
const VOICE_CHECKS = [checkVoices, checkStrong, checkExtremes, checkLeaps];
/** The other checks, for warm-ups only. */
const EVENING_CHECKS = [
  ...[checkTime, checkHarmony, checkBody, checkClose, checkLevel, checkNew, checkRunning],
  ...[checkFormation, checkParts, checkJoinIn, checkArrivals],
  ...[checkLength, checkOccasion, checkPhrases, checkSeated, checkFromAbove, checkStillness],
];

/** What all checks find in a running order; an empty list if it has no items. @param {RunningOrder} order @returns {Finding[]} */
export function findings(order) {
  if (!order.items.length) return [];
  const checks = order.occasion === null ? VOICE_CHECKS : [...VOICE_CHECKS, ...EVENING_CHECKS];
  return checks.flatMap((check) => check(order));
}

/** The code of a finding. @param {string} name @returns {string} */
export function codeOf(name) {
  return RULES.findings[/** @type {keyof typeof RULES.findings} */ (name)].code;
}
