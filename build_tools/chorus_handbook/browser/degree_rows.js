// @ts-check
/** Makes the rows of scale numbers or sol-fa syllables that are shown under the notes of every staff. `score_rows.js` draws them. */

import { scaleNumber, solFa } from "./degree_names.js";

/** @import { Notes } from "./schedule.js" */
/** @import { Row, RowText } from "./score_rows.js" */

/** The kinds of names that can be shown under the notes. @typedef {"numbers" | "sol-fa"} DegreeNames */

/**
 * One row for each voice that is drawn. A note is named once, where it begins; grace notes are not
 * named. Where a voice divides, the names of its notes are placed above each other, like the notes.
 * @param {Notes} notes the content of the exercise's notes.json
 * @param {DegreeNames} names which kind of names
 * @returns {Row[]}
 */
export function degreeRows({ mode_start = 0, voices }, names) {
  const named = names === "numbers" ? scaleNumber : solFa;
  const seen = new Set(); // ids of notes named already: voices may share notes, and repeats sing them again
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
