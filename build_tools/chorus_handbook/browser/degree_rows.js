// @ts-check
/** Scale numbers or sol-fa under the notes of every staff, from the timed notes of an exercise. */

import { scaleNumber, solFa } from "./degree_names.js";

/** @import { Notes } from "./schedule.js" */
/** @import { Row, RowText } from "./score_rows.js" */

/** What may stand under the notes. @typedef {"numbers" | "sol-fa"} DegreeNames */

/**
 * A row for each voice that is drawn. Only attacks are named, and no grace notes; where a voice
 * divides, the names of all its notes stand over one another, as the notes do.
 * @param {Notes} notes
 * @param {DegreeNames} names
 * @returns {Row[]}
 */
export function degreeRows({ mode_start = 0, voices }, names) {
  const named = names === "numbers" ? scaleNumber : solFa;
  const seen = new Set(); // voices that share a staff, and what is sung again
  const rows = voices.map((voice) => {
    /** @type {RowText[]} */
    const texts = [];
    for (const { drawn, steps = [], semitones } of voice.notes) {
      if (seen.has(drawn) || !steps.length) continue;
      seen.add(drawn);
      texts.push({ note: drawn, lines: steps.map((step, place) => named(mode_start, step, semitones[place])) });
    }
    return texts;
  });
  return rows.filter((texts) => texts.length).map((texts) => ({ side: "below", texts }));
}
