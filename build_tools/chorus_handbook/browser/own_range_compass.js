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
 * A singer on the ladder. `nearest`: the voice was not chosen, it lies nearest.
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
 * The singer that a range describes; what is wrong with the range, in words; or null when nothing
 * is set. A note that is not set is the voice's own.
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
 * Limits are the notes that are set; comfortable is two semitones inside them, in a narrow range
 * at most what is left. Where a note is not set, the voice's own limit and comfort count. A note
 * that is set is where hums and glides end too.
 * @param {number | null} lowest
 * @param {number | null} highest
 * @param {Compass | null} theirs the chosen voice's, needed where a note is not set
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
    // A note set beyond the voice's comfortable range leaves nothing of that range.
    ...(own.comfortable_low <= own.comfortable_high ? own : inner),
    limit_low,
    limit_high,
    extended_low: lowest ?? theirs?.extended_low ?? limit_low,
    extended_high: highest ?? theirs?.extended_high ?? limit_high,
  };
}

/**
 * The voice whose comfortable range's middle lies nearest, the upper one of two as near.
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

/** @param {Compass} compass */
function middle(compass) {
  return (compass.comfortable_low + compass.comfortable_high) / 2;
}
