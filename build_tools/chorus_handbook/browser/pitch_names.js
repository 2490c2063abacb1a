// @ts-check
/**
 * Names of pitches in words, in any key: "C4", "B flat 3".
 */

import { FACTS } from "./shared_facts.js";
import { gettext } from "./words.js";

/** A pitch as it is written: its place in the scale of C, counted from C0, and its MIDI number. @typedef {{steps: number, midi: number}} Pitch */

const { letters: LETTERS, naturals: NATURALS } = FACTS.pitch;
/** @type {Record<string, string>} */
const ALTERATIONS = FACTS.pitch.alterations;

/** Reads a pitch. @param {string} text such as "Bb3" @returns {Pitch} */
function parse(text) {
  const [, letter = "C", sign = "", octave = "4"] = /^([A-G])(#*|b*)(-?\d+)$/.exec(text) ?? [];
  const place = LETTERS.indexOf(letter);
  const alter = sign.startsWith("#") ? sign.length : -sign.length;
  return { steps: 7 * Number(octave) + place, midi: 12 * (Number(octave) + 1) + NATURALS[place] + alter };
}

/** The name of a pitch with its octave, as in `notes_in_words.py`: "B flat 3". @param {Pitch} pitch */
function nameOf({ steps, midi }) {
  const octave = Math.floor(steps / 7);
  const place = steps - 7 * octave;
  const alter = midi - 12 * (octave + 1) - NATURALS[place];
  const letter = gettext(ALTERATIONS[alter], { letter: LETTERS[place] });
  return letter.length === 1 ? `${letter}${octave}` : gettext("{letter} {octave}", { letter, octave });
}

/**
 * The names of pitches when they are moved from one key to another.
 * @param {string[]} pitches such as "Bb3"
 * @param {string} from the tonic of their key, such as "C4"
 * @param {string} to the tonic of the other key
 */
export function namesInKey(pitches, from, to) {
  const [low, high] = [parse(from), parse(to)];
  return pitches.map(parse).map(({ steps, midi }) =>
    nameOf({ steps: steps + high.steps - low.steps, midi: midi + high.midi - low.midi }),
  );
}
