// @ts-check
/**
 * Names the degrees of a scale for people who sing from scale numbers or sol-fa (common practice).
 *
 * Scale numbers count from the tonic of the mode, as in the handbook's `degrees` notation; a sharp or
 * flat means that the note is higher or lower than the mode's own degree. Sol-fa syllables follow the
 * relative major: the tonic is do in major, la in minor, re in dorian. A raised or lowered degree changes
 * the vowel of its syllable.
 */

import { FACTS } from "./shared_facts.js";

/** The syllables of the major scale, and those of its degrees raised and lowered by a semitone. */
const NATURAL = ["do", "re", "mi", "fa", "so", "la", "ti"];
const RAISED = ["di", "ri", "mis", "fi", "si", "li", "tis"];
const LOWERED = ["de", "ra", "me", "fe", "se", "le", "te"];

/**
 * By how many semitones a note is higher than the mode's own degree; negative if it is lower.
 * @param {number} start the degree of the major scale on which the mode starts, counted from 0
 * @param {number} steps above the tonic, which is 0
 * @param {number} semitones above the tonic
 */
function raised(start, steps, semitones) {
  const { naturals } = FACTS.pitch;
  const octaves = Math.floor((start + steps) / naturals.length);
  return semitones - (12 * octaves + naturals[place(start + steps)] - naturals[start]);
}

/**
 * The scale number of a note: "♯4", "♭7", "5".
 * @param {number} start the degree of the major scale on which the mode starts, counted from 0
 * @param {number} steps along the scale, above the tonic
 * @param {number} semitones above the tonic
 */
export function scaleNumber(start, steps, semitones) {
  const by = raised(start, steps, semitones);
  return (by > 0 ? "♯" : "♭").repeat(Math.abs(by)) + (place(steps) + 1);
}

/**
 * The sol-fa syllable of a note: "fi", "te", "so". There is no syllable for a degree that is raised or
 * lowered by two semitones or more: it takes the one for a single semitone, with a sharp or flat
 * before it for each semitone more.
 * @param {number} start the degree of the major scale on which the mode starts, counted from 0
 * @param {number} steps along the scale, above the tonic
 * @param {number} semitones above the tonic
 */
export function solFa(start, steps, semitones) {
  const by = raised(start, steps, semitones);
  const row = by > 0 ? RAISED : by < 0 ? LOWERED : NATURAL;
  return (by > 0 ? "♯" : "♭").repeat(Math.max(0, Math.abs(by) - 1)) + row[place(start + steps)];
}

/** The degree within its octave, from 0 to 6. @param {number} steps */
function place(steps) {
  return ((steps % NATURAL.length) + NATURAL.length) % NATURAL.length;
}
