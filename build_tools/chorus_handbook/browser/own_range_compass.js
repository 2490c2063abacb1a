// @ts-check
/**
 * Turns a reader's own range into a compass (comfortable range and limits), and finds the voice
 * whose line they sing.
 */

import { FACTS } from "./shared_facts.js";
import { gettext } from "./words.js";

/** @import { Compass } from "./ladder.js" */

/**
 * What a singer has set: a voice, notes (MIDI numbers), or both. Null is "not set".
 * @typedef {object} OwnRange
 * @property {string | null} voice
 * @property {number | null} lowest
 * @property {number | null} highest
 */

/**
 * A voice of the chorus: its printed name and its range.
 * @typedef {object} Voice
 * @property {string} label
 * @property {Compass} compass
 */

/**
 * A singer, with the voice whose line they sing. `nearest`: the voice was not chosen by the singer; it
 * is the one whose range is nearest to theirs.
 * @typedef {object} Singer
 * @property {string} voice
 * @property {Compass} compass
 * @property {boolean} nearest
 */

/** Common practice: stop two semitones inside a part's range. */
const INSIDE = 2;

/**
 * A plain name for a MIDI number, black keys as flats.
 * @param {number} midi
 */
export function noteName(midi) {
  const name = FACTS.pitch.flat_names[((midi % 12) + 12) % 12];
  return `${name.replace("b", "♭")}${Math.floor(midi / 12) - 1}`;
}

/**
 * The singer that a range describes; or a message that says what is wrong with the range; or null if
 * nothing is set. An end of the range that is not set is taken from the chosen voice.
 * @param {OwnRange} range
 * @param {Record<string, Voice>} voices in score order
 * @returns {Singer | { problem: string } | null}
 */
export function singerOf(range, voices) {
  const chosen = range.voice !== null && Object.hasOwn(voices, range.voice) ? range.voice : null;
  const { lowest, highest } = range;
  if (chosen === null) {
    if (lowest === null && highest === null) return null;
    if (lowest === null) return { problem: gettext("Set the lowest note too, or choose a voice.") };
    if (highest === null) return { problem: gettext("Set the highest note too, or choose a voice.") };
  }
  const theirs = chosen === null ? null : voices[chosen].compass;
  const compass = compassOf(lowest, highest, theirs);
  if (compass.limit_low >= compass.limit_high) {
    const [low, high] = [noteName(compass.limit_low), noteName(compass.limit_high)];
    return {
      problem: gettext("The lowest note, {low}, must lie below the highest, {high}. Change one of them.", { low, high }),
    };
  }
  const voice = chosen ?? nearestVoice(compass, voices);
  return voice === null ? null : { voice, compass, nearest: chosen === null };
}

/**
 * The compass of a singer. A note that is set is the limit, also for hums and glides, and the
 * comfortable range ends two semitones inside it (less if the range is very narrow). Where no note is
 * set, the ends of the chosen voice are used.
 * @param {number | null} lowest
 * @param {number | null} highest
 * @param {Compass | null} theirs the compass of the chosen voice; needed if a note is not set
 * @returns {Compass}
 */
function compassOf(lowest, highest, theirs) {
  const limit_low = lowest ?? theirs?.limit_low ?? 0;
  const limit_high = highest ?? theirs?.limit_high ?? 0;
  const inside = Math.max(0, Math.min(INSIDE, Math.floor((limit_high - limit_low) / 2)));
  const inner = { comfortable_low: limit_low + inside, comfortable_high: limit_high - inside };
  const own = {
    comfortable_low: lowest === null && theirs ? theirs.comfortable_low : inner.comfortable_low,
    comfortable_high: highest === null && theirs ? theirs.comfortable_high : inner.comfortable_high,
  };
  return {
    // If a note is set beyond the voice's comfortable range, nothing of that range is left: use `inner`.
    ...(own.comfortable_low <= own.comfortable_high ? own : inner),
    limit_low,
    limit_high,
    extended_low: lowest ?? theirs?.extended_low ?? limit_low,
    extended_high: highest ?? theirs?.extended_high ?? limit_high,
  };
}

/**
 * The voice whose comfortable range has the nearest middle; of two that are equally near, the higher.
 * @param {Compass} compass
 * @param {Record<string, Voice>} voices
 * @returns {string | null}
 */
function nearestVoice(compass, voices) {
  let best = null;
  let least = Infinity;
  for (const [name, { compass: theirs }] of Object.entries(voices)) {
    const away = Math.abs(middle(theirs) - middle(compass));
    if (away < least) [best, least] = [name, away];
  }
  return best;
}

/** The middle of a comfortable range, as a MIDI number, which may end in a half. @param {Compass} compass */
function middle(compass) {
  return (compass.comfortable_low + compass.comfortable_high) / 2;
}
