// @ts-check
/**
 * Fills the table "Cents of every note": the notes of every voice in a key, each with how much higher or
 * lower it is than in equal temperament, in cents.
 */

import { FACTS } from "./shared_facts.js";
import { decimal, joined, keyName } from "./words.js";

/** @import { Note, Notes } from "./schedule.js" */

const { letters: LETTERS, naturals: NATURALS } = FACTS.pitch;

/**
 * The name of a pitch in a key, as the score has it: 3 steps and 6 semitones above "D4" is "G♯4", 4
 * steps "A♭4".
 * @param {{key: string, midi: number}} tonic
 * @param {number} steps along the scale, above the tonic
 * @param {number} semitones
 */
export function spelled({ key, midi }, steps, semitones) {
  const place = LETTERS.indexOf(key[0]) + steps;
  const letter = ((place % 7) + 7) % 7;
  const octave = Number(/-?\d+$/.exec(key)?.[0]) + Math.floor(place / 7);
  const alter = midi + semitones - (12 * (octave + 1) + NATURALS[letter]);
  const sign = alter < 0 ? "b".repeat(-alter) : "#".repeat(alter);
  return keyName(LETTERS[letter] + sign) + octave;
}

/**
 * The names of a note's pitches in a key.
 * @param {Notes} notes
 * @param {number} key
 * @param {Note} note
 */
export function namesOf(notes, key, { semitones, steps = [] }) {
  return semitones.map((one, place) => spelled(notes.keys[key], steps[place], one));
}

/** A difference with its sign, rounded to tenths: "+3.9", "−13.7" or "0". @param {number} cents */
export function inCents(cents) {
  const rounded = Math.round(cents * 10) / 10;
  return rounded === 0 ? "0" : `${rounded > 0 ? "+" : "−"}${decimal(Math.abs(rounded))}`;
}

/**
 * Fills the player's table, and the line above it that says which pitches are fixed.
 * @param {HTMLElement} box the exercise, with the table
 * @param {Notes} notes
 * @param {number} key
 */
export function fillCents(box, notes, key) {
  const table = box.querySelector("table.hb-cents");
  const reference = box.querySelector(".hb-tuning-reference");
  if (!(table instanceof HTMLTableElement) || !reference) return;
  reference.textContent = notes.tuning.told;
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
      const names = namesOf(notes, key, note);
      item.textContent = joined(names.map((name, place) => `${name} ${inCents(note.cents[place])}`));
      list.append(item);
    }
    cell.append(list);
    row.append(head, cell);
  }
  table.tBodies[0]?.remove();
  table.append(body);
}
