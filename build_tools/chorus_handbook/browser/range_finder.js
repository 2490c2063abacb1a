// @ts-check
/**
 * Helps a singer to find the lowest and highest comfortable note by singing: it sounds one note
 * after another, and the singer says whether it was comfortable. Loaded only when it is opened.
 */

import { SteadyChord } from "./reference_chord.js";
import { noteName } from "./own_range_compass.js";
import { gettext } from "./words.js";

/**
 * A search for the end of a range, downward (-1) or upward (1). `note` is the one that sounds and is
 * asked about, `last` the farthest comfortable note so far, both MIDI numbers; `last` is null if there is
 * none yet. The search goes on by 2 semitones (`step`), and by 1 back to the note in between once a note
 * was not comfortable. `back`: the very first note was not comfortable, so the search goes the other way
 * until one is.
 * @typedef {{direction: -1 | 1, note: number, last: number | null, step: 1 | 2, back: boolean}} Search
 */

/** Seconds that a note sounds. */
const NOTE_SECONDS = 1.5;

/**
 * A new search.
 * @param {-1 | 1} direction
 * @param {number} note MIDI number of the note to begin with
 * @returns {Search}
 */
export function beginSearch(direction, note) {
  return { direction, note, last: null, step: 2, back: false };
}

/**
 * The search after an answer, or the note that was found (null if no note was comfortable).
 * @param {Search} search
 * @param {boolean} comfortable
 * @param {[lowest: number, highest: number]} reach the notes that can be chosen
 * @returns {Search | {found: number | null}}
 */
export function answered(search, comfortable, reach) {
  const { direction, note, last, step, back } = search;
  if (comfortable && (back || step === 1)) return { found: note };
  if (!comfortable && step === 1) return { found: last };
  const turns = !comfortable && last === null;
  if (!comfortable && !turns) return { ...search, note: note - direction, step: 1 };
  const next = note + 2 * (turns ? -direction : direction);
  if (next < reach[0] || next > reach[1]) return { found: comfortable ? note : last };
  return { ...search, note: next, last: comfortable ? note : last, back: turns };
}

/** Sounds one note at a time, on a steady tone. */
export class NoteTone {
  /** @param {AudioContext} context */
  constructor(context) {
    this.chord = new SteadyChord(context, context.destination);
    this.timer = 0;
  }

  /** Sounds a note for `NOTE_SECONDS`. @param {number} midi */
  sound(midi) {
    clearTimeout(this.timer);
    this.chord.sound([midi]);
    this.timer = setTimeout(() => this.chord.end(), NOTE_SECONDS * 1000);
  }

  /** Ends the note. */
  end() {
    clearTimeout(this.timer);
    this.chord.end();
  }
}

/**
 * Looks for the lowest comfortable note, then for the highest.
 * @param {HTMLElement} panel with the buttons by which the singer answers
 * @param {NoteTone} tone
 * @param {number} start MIDI number of a note in the middle of the voice
 * @param {[lowest: number, highest: number]} reach the notes that can be chosen
 * @param {(lowest: number, highest: number) => void} found called with both notes
 */
export function findRange(panel, tone, start, reach, found) {
  const status = panel.querySelector("[role=status]");
  let search = beginSearch(-1, start);
  /** @type {number | null} */
  let lowest = null;

  /** Sounds a note and asks whether it is comfortable. */
  function ask() {
    const note = { note: noteName(search.note) };
    const down = gettext("Sing down to your lowest comfortable note, softly. Listen to {note}, then sing it. Was it comfortable?", note);
    const up = gettext("Now up to your highest comfortable note, softly. Listen to {note}, then sing it. Was it comfortable?", note);
    if (status) status.textContent = search.direction < 0 ? down : up;
    tone.sound(search.note);
  }

  /** Ends the search. @param {string} text what the singer is told */
  function close(text) {
    tone.end();
    panel.onclick = null;
    for (const button of panel.querySelectorAll("button")) button.hidden = true;
    if (status) status.textContent = text;
  }

  /** Goes on after an answer. @param {boolean} comfortable */
  function take(comfortable) {
    const next = answered(search, comfortable, reach);
    if (!("found" in next)) search = next;
    else if (next.found === null) return close(gettext("No note was comfortable. Rest, warm up a little and try again another day."));
    else if (lowest === null) {
      lowest = next.found;
      search = beginSearch(1, Math.max(start, lowest + 2));
    } else {
      close(gettext("Found: {lowest} to {highest}.", { lowest: noteName(lowest), highest: noteName(next.found) }));
      return found(lowest, next.found);
    }
    ask();
  }

  panel.onclick = ({ target }) => {
    const answer = target instanceof HTMLElement ? target.dataset.answer : undefined;
    if (answer === "again") tone.sound(search.note);
    else if (answer === "stop") close("");
    else if (answer) take(answer === "yes");
  };
  for (const button of panel.querySelectorAll("button")) button.hidden = false;
  panel.hidden = false;
  ask();
}
