// @ts-check
/**
 * The rule of the ladder, which is the keys of an exercise and how well each voice can sing in each of
 * them: it is comfortable, at the edge of its range, or out of it. The same rule is in `voices/rule.py`.
 *
 * All numbers are whole: MIDI numbers and semitones. Field names are those of the data in the pages.
 */

/** @typedef {"comfortable" | "edge" | "out"} State */
/** The end of a range beyond which a voice has notes. @typedef {"neither" | "bottom" | "top" | "both"} End */

/**
 * What a voice sings in one key: the lowest and highest of all its notes, of those that it sustains for a
 * beat or more (`held_…`), and of those that it only glides over (null if there are none). `wide`: all
 * of it is hummed, trilled or glided, so it may go to the ends of the extended range.
 * @typedef {object} Reach
 * @property {number} lowest
 * @property {number} highest
 * @property {number | null} held_lowest
 * @property {number | null} held_highest
 * @property {number | null} glided_lowest
 * @property {number | null} glided_highest
 * @property {boolean} wide
 */

/**
 * The range of a voice: where it sings with ease (`comfortable_…`), how far it ever goes (`limit_…`), and
 * how far hums, trills and glides may go (`extended_…`).
 * @typedef {object} Compass
 * @property {number} comfortable_low
 * @property {number} comfortable_high
 * @property {number} limit_low
 * @property {number} limit_high
 * @property {number} extended_low
 * @property {number} extended_high
 */

/**
 * The state of a voice in one key, and the end of its range beyond which it has notes. `sustainsOutside`:
 * whether it sustains a note outside its comfortable range for a beat or more. `octaves`: by how many
 * octaves a voice that is out may move to go on; 0 if that does not help, or the exercise does not allow
 * it.
 * @typedef {object} Step
 * @property {State} state
 * @property {End} end
 * @property {boolean} sustainsOutside
 * @property {number} octaves
 */

/**
 * The keys of one exercise in singing order: their names, the MIDI numbers of their tonics, and
 * what each voice of the chorus sings in the first of them.
 * @typedef {object} Ladder
 * @property {string[]} keys
 * @property {number[]} tonics
 * @property {boolean} may_change_octave
 * @property {Record<string, Reach>} voices
 */

/**
 * This reach transposed up by `semitones`.
 * @param {Reach} reach
 * @param {number} semitones
 * @returns {Reach}
 */
export function moved(reach, semitones) {
  /** @param {number | null} note */
  const there = (note) => (note === null ? null : note + semitones);
  return {
    lowest: reach.lowest + semitones,
    highest: reach.highest + semitones,
    held_lowest: there(reach.held_lowest),
    held_highest: there(reach.held_highest),
    glided_lowest: there(reach.glided_lowest),
    glided_highest: there(reach.glided_highest),
    wide: reach.wide,
  };
}

/**
 * Whether a voice with this compass is comfortable, at the edge or out with this reach.
 * @param {Reach} reach
 * @param {Compass} compass
 * @returns {State}
 */
export function state(reach, compass) {
  if (beyondLimits(reach, compass).includes(true)) return "out";
  if (beyondComfort(reach, compass).includes(true)) return "edge";
  return "comfortable";
}

/**
 * The end of its range beyond which a voice has notes: of its limits if it is out, else of its comfortable
 * range.
 * @param {Reach} reach
 * @param {Compass} compass
 * @returns {End}
 */
export function end(reach, compass) {
  const out = beyondLimits(reach, compass);
  const [below, above] = out.includes(true) ? out : beyondComfort(reach, compass);
  if (below && above) return "both";
  return below ? "bottom" : above ? "top" : "neither";
}

/**
 * Whether any note is below the limits, and whether any is above.
 * @param {Reach} reach
 * @param {Compass} compass
 */
function beyondLimits(reach, compass) {
  const lowest = reach.wide ? compass.extended_low : compass.limit_low;
  const highest = reach.wide ? compass.extended_high : compass.limit_high;
  const [glidedLow, glidedHigh] = glided(reach);
  return [
    reach.lowest < lowest || glidedLow < compass.extended_low,
    reach.highest > highest || glidedHigh > compass.extended_high,
  ];
}

/**
 * Whether any note is below the comfortable range, and whether any is above.
 * @param {Reach} reach
 * @param {Compass} compass
 */
function beyondComfort(reach, compass) {
  const [glidedLow, glidedHigh] = glided(reach);
  return [
    Math.min(reach.lowest, glidedLow) < compass.comfortable_low,
    Math.max(reach.highest, glidedHigh) > compass.comfortable_high,
  ];
}

/** The lowest and highest note that is glided over; if none is, those of all notes. @param {Reach} reach */
function glided(reach) {
  return [reach.glided_lowest ?? reach.lowest, reach.glided_highest ?? reach.highest];
}

/**
 * Whether a note outside the comfortable range is held for a beat or more.
 * @param {Reach} reach
 * @param {Compass} compass
 */
export function holdsBeyondComfort(reach, compass) {
  const { held_lowest: low, held_highest: high } = reach;
  const below = low !== null && low < compass.comfortable_low;
  return below || (high !== null && high > compass.comfortable_high);
}

/**
 * By how many octaves a voice that is out could move to be within its limits again: -1, 1, or 0 if
 * neither helps.
 * @param {Reach} reach
 * @param {Compass} compass
 */
export function otherOctave(reach, compass) {
  for (const octaves of [-1, 1]) {
    if (state(moved(reach, 12 * octaves), compass) !== "out") return octaves;
  }
  return 0;
}

/**
 * For every key, the state of a singer with this compass who sings the line of `voice`; null if that
 * voice sings nothing.
 * @param {Ladder} ladder
 * @param {string} voice
 * @param {Compass} compass
 * @returns {Step[] | null}
 */
export function computeSteps(ladder, voice, compass) {
  const first = Object.hasOwn(ladder.voices, voice) ? ladder.voices[voice] : null;
  if (!first) return null;
  return ladder.tonics.map((tonic) => {
    const reach = moved(first, tonic - ladder.tonics[0]);
    const now = state(reach, compass);
    const elsewhere = now === "out" && ladder.may_change_octave;
    return {
      state: now,
      end: end(reach, compass),
      sustainsOutside: holdsBeyondComfort(reach, compass),
      octaves: elsewhere ? otherOctave(reach, compass) : 0,
    };
  });
}

/**
 * The place, from 0, of the first key that a singer cannot sing, at which they step out; -1 if they can
 * sing all.
 * @param {Step[]} steps
 */
export function stepsOut(steps) {
  return steps.findIndex((step) => step.state === "out" && step.octaves === 0);
}
