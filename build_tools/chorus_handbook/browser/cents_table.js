// @ts-check
/** The notes of every voice in a key, each with its cents against equal temperament. */

import { keyName } from "./own_row.js";

/** @import { Notes } from "./schedule.js" */

const LETTERS = "CDEFGAB";
const NATURALS = [0, 2, 4, 5, 7, 9, 11];
/** The steps of a scale by their semitones above the tonic, as they are mostly written. */
const STEPS = [0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6];

/**
 * The name of a pitch in a key: 6 above "D4" is "G♯4".
 * @param {string} key
 * @param {number} semitones above its tonic
 */
export function spelled(key, semitones) {
  const step = STEPS[((semitones % 12) + 12) % 12];
  const octaves = Math.floor(semitones / 12);
  const from = LETTERS.indexOf(key[0]);
  const tonic = 12 * Number(key.slice(-1)) + NATURALS[from] + key.split("#").length - key.slice(1).split("b").length;
  const place = from + step + 7 * octaves;
  const [letter, octave] = [((place % 7) + 7) % 7, Number(key.slice(-1)) + Math.floor(place / 7)];
  const alter = tonic + semitones - (12 * octave + NATURALS[letter]);
  const sign = alter < 0 ? "b".repeat(-alter) : "#".repeat(alter);
  return keyName(LETTERS[letter] + sign) + octave;
}

/** @param {number} cents */
export function inCents(cents) {
  const rounded = Math.round(cents * 10) / 10;
  return rounded === 0 ? "0" : `${rounded > 0 ? "+" : "−"}${Math.abs(rounded)}`;
}

/**
 * @param {HTMLTableElement} table
 * @param {Notes} notes
 * @param {number} key
 */
export function fillCents(table, notes, key) {
  const body = document.createElement("tbody");
  for (const voice of notes.voices) {
    const sung = voice.notes.filter((note) => note.semitones.length);
    if (!sung.length) continue;
    const row = body.insertRow();
    const head = document.createElement("th");
    head.scope = "row";
    head.textContent = voice.label;
    const cell = document.createElement("td");
    const list = document.createElement("ol");
    for (const note of sung) {
      const item = document.createElement("li");
      item.textContent = note.semitones
        .map((semitones, place) => `${spelled(notes.keys[key].key, semitones)} ${inCents(note.cents[place])}`)
        .join(", ");
      list.append(item);
    }
    cell.append(list);
    row.append(head, cell);
  }
  table.tBodies[0]?.remove();
  table.append(body);
}
