// @ts-check
/**
 * Decides what sounds when in a *run*: everything that is heard from a tap on "Play" to the end, which is
 * the exercise in all its keys, with a count-in and chords between the keys. The exercise once through in
 * one key is a *pass*. The same rule is in `sound/schedule.py`; tests compare both by the cases in
 * tests/cases/schedule.
 *
 * Times are added up in ticks, a unit of which every note is a whole number, and turned into seconds only at
 * the end, so that a long run does not drift.
 */

import { FACTS } from "./shared_facts.js";

/**
 * A note of notes.json. `at` and `length` are ticks of the pass. `semitones` has one number for each pitch
 * that the voice sings, above the tonic; `cents` what just tuning adds to each. `glide`: the ticks after
 * which it glides, and the semitones it glides to.
 * @typedef {object} Note
 * @property {string} id
 * @property {string} drawn the id of the element that shows it in the score
 * @property {number} at
 * @property {number} length
 * @property {number[]} semitones
 * @property {number[]} [steps] the same as they are spelled: steps of the scale above the tonic
 * @property {number[]} cents
 * @property {[start: number, goals: number[]]} [glide]
 * @property {true} [joined] it has no attack of its own: the glide before it leads into it
 * @property {[before: number, length: number, semitones: number][]} [graces] grace notes before it
 * @property {"middle" | "high" | "low"} [spoken]
 * @property {number} level
 * @property {[tick: number, level: number][]} [swell] the ticks after the onset at which the level changes direction, and the level there
 * @property {true} [ends_phrase] a breath or a rest follows
 * @property {string} [syllable]
 */

/**
 * The content of notes.json: an exercise with its sounds.
 * @typedef {object} Notes
 * @property {number} version
 * @property {string} title
 * @property {number} tempo beats a minute
 * @property {number} ticks_per_beat
 * @property {number} length ticks of one pass
 * @property {number} passes how often it is sung in each key
 * @property {number} lead_in beats between two keys
 * @property {number} count_in beats before the first pass
 * @property {number} bar beats of a bar, 0 in free meter
 * @property {number} pickup beats before the first full bar
 * @property {number[]} [bars] ticks of a pass at which bars begin
 * @property {number[]} [beats] ticks of a pass at which the beat is clicked; only `echo.js` sets them, no file
 *   has them
 * @property {{key: string, midi: number}[]} keys the tonics
 * @property {number[][]} lead_chord for each key, the chord before it, in semitones above its tonic
 * @property {number[]} lead_cents what just tuning adds to each note of that chord
 * @property {{name: string, label: string, notes: Note[]}[]} voices
 * @property {{to: string, told: string}} tuning
 * @property {[at: number, length: number][]} [chords]
 * @property {number} [mode_start] the degree of the major scale on which the mode starts, from 0
 */

/**
 * How a run is played; every field is optional. `tempo` is a factor on the exercise's own tempo. `first`
 * and `last` are indexes into its keys. `passes` replaces the exercise's own number of passes.
 * @typedef {object} PlaybackOptions
 * @property {number} [tempo]
 * @property {number} [first]
 * @property {number | null} [last]
 * @property {number | null} [passes]
 * @property {boolean} [count_in]
 * @property {boolean} [chord_first]
 * @property {boolean} [just]
 */

/**
 * One sound. `at` and `length` are seconds of the run; `key` is the index of the key; `midi` is a MIDI
 * number with cents as its fraction; `one` marks a click on the first beat of a bar. `swell` has the
 * seconds at which the level changes direction, with the level there; `joined` the seconds at which the
 * sound becomes another note of the voice, with that note's id.
 * @typedef {object} Event
 * @property {number} at
 * @property {number} length
 * @property {"note" | "click" | "lead"} kind
 * @property {number} key
 * @property {string | null} voice
 * @property {string | null} id
 * @property {number | null} midi
 * @property {number} level
 * @property {string} [spoken]
 * @property {true} [one]
 * @property {Glide[]} [glides]
 * @property {[second: number, level: number][]} [swell]
 * @property {[second: number, id: string][]} [joined]
 */

/**
 * From second `start` to second `end` of the run the pitch moves evenly to `midi`.
 * @typedef {{start: number, end: number, midi: number}} Glide
 */

/**
 * A stretch of a run between two ticks: a chord between keys, a count-in or a pass.
 * @typedef {object} Stretch
 * @property {"lead" | "count" | "pass"} kind
 * @property {number} key
 * @property {number} turn which pass of its key
 * @property {number} from
 * @property {number} to
 */

const RUN = FACTS.run;

/**
 * All sounds of a run, by the time at which they begin; those that begin together are in the order of
 * the voices.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 * @returns {Event[]}
 */
export function schedule(notes, options) {
  const second = secondsATick(notes, options);
  const found = stretches(notes, options).flatMap((one) =>
    one.kind === "pass"
      ? pass(notes, options, one)
      : one.kind === "lead"
        ? lead(notes, options, one)
        : clicks(notes, one),
  );
  found.sort((one, other) => one.at - other.at); // stable
  return found.map((one) => {
    /** @type {Event} */
    const event = { ...one, at: one.at * second, length: one.length * second };
    if (one.glides) {
      event.glides = one.glides.map(({ start, end, midi }) => ({ start: start * second, end: end * second, midi }));
    }
    if (one.swell) event.swell = one.swell.map(([tick, level]) => [tick * second, level]);
    if (one.joined) event.joined = one.joined.map(([tick, id]) => [tick * second, id]);
    return event;
  });
}

/**
 * The seconds of a tick at the chosen tempo.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 */
export function secondsATick(notes, options) {
  return 60 / (notes.tempo * (options.tempo ?? 1) * notes.ticks_per_beat);
}

/**
 * The stretches of a run, end to end from tick 0.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 * @returns {Stretch[]}
 */
export function stretches(notes, options) {
  const beat = notes.ticks_per_beat;
  const [first, last] = [options.first ?? 0, options.last ?? notes.keys.length - 1];
  /** @type {Stretch[]} */
  const found = [];
  let tick = 0;
  /** @type {(kind: Stretch["kind"], key: number, length: number, turn?: number) => void} */
  const add = (kind, key, length, turn = 0) => {
    if (length > 0) found.push({ kind, key, turn, from: tick, to: tick + length });
    tick += length;
  };
  if (options.chord_first && notes.lead_cents.length) {
    add("lead", first, (notes.lead_in || RUN.opening_chord_beats) * beat);
  }
  if (options.count_in ?? true) add("count", first, Math.round(notes.count_in * beat));
  for (let key = first; key <= last; key += 1) {
    if (key > first) add("lead", key, notes.lead_in * beat);
    const passes = options.passes ?? notes.passes;
    for (let turn = 0; turn < passes; turn += 1) add("pass", key, notes.length, turn);
  }
  return found;
}

/**
 * The length of a run in ticks.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 */
export function runTicks(notes, options) {
  return stretches(notes, options).at(-1)?.to ?? 0;
}

/**
 * A click on every beat until a pass begins. Bars are counted back from its first full bar.
 * @param {Notes} notes
 * @param {Stretch} stretch
 * @returns {Event[]} in ticks
 */
function clicks(notes, { key, from, to }) {
  const beat = notes.ticks_per_beat;
  const bar = Math.round(notes.bar * beat);
  const firstBar = to + Math.round(notes.pickup * beat);
  const found = [];
  for (let at = from; at < to; at += beat) {
    const one = bar > 0 && (firstBar - at) % bar === 0;
    found.push({ ...click(at, key, one ? RUN.one : RUN.count), ...(one && { one }) });
  }
  return found;
}

/**
 * The chord of a key; clicks if nobody sings.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 * @param {Stretch} stretch
 * @returns {Event[]} in ticks
 */
function lead(notes, options, stretch) {
  const { key, from, to } = stretch;
  const chord = notes.lead_chord[key];
  if (!chord.length) return clicks(notes, stretch);
  return chord.map((semitones, place) => ({
    at: from,
    length: to - from,
    kind: "lead",
    key,
    voice: null,
    id: null,
    midi: pitch(notes, options, key, semitones, notes.lead_cents[place]),
    level: RUN.chord,
  }));
}

/**
 * The sounds of a pass.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 * @param {Stretch} stretch
 * @returns {Event[]} in ticks
 */
function pass(notes, options, { key, from }) {
  const beats = (notes.beats ?? []).map((at) => click(from + at, key, RUN.count));
  const sounds = notes.voices.flatMap(({ name, notes: all }) => {
    const starts = [...all.keys()].filter((place) => !all[place].joined);
    return starts.flatMap((start, turn) => {
      const end = starts[turn + 1] ?? all.length;
      return sound(notes, options, key, from, name, all.slice(start, end), all[end]);
    });
  });
  return [...beats, ...sounds];
}

/**
 * One click.
 * @param {number} at
 * @param {number} key
 * @param {number} level
 * @returns {Event} in ticks
 */
function click(at, key, level) {
  return { at, length: 0, kind: "click", key, voice: null, id: null, midi: null, level };
}

/**
 * The sounds of a note and of the notes that glides join to it, which sound as one.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 * @param {number} key its index
 * @param {number} begin the tick of the run at which the pass begins
 * @param {string} voice
 * @param {Note[]} chain the note and those joined to it
 * @param {Note | undefined} after the note after them
 * @returns {Event[]} in ticks
 */
function sound(notes, options, key, begin, voice, chain, after) {
  const [note] = chain;
  const last = chain[chain.length - 1];
  const at = begin + note.at;
  /** @type {Event} */
  const event = { at, length: note.length, kind: "note", key, voice, id: note.id, midi: null, level: note.level };
  const found = graces(notes, options, event, note);
  if (note.spoken) found.push({ ...event, kind: "click", spoken: note.spoken });
  const swell = swellOf(chain, begin);
  note.semitones.forEach((semitones, place) => {
    /** @type {Event} */
    const sung = { ...event, length: last.at + last.length - note.at };
    sung.midi = pitch(notes, options, key, semitones, note.cents[place]);
    /** @type {Glide[]} */
    const glides = [];
    chain.forEach((one, turn) => {
      if (!one.glide) return;
      const [start, goals] = one.glide;
      const cents = (chain[turn + 1] ?? after)?.cents ?? [];
      const midi = pitch(notes, options, key, goals[place], cents[place] ?? cents.at(-1) ?? 0);
      glides.push({ start: begin + one.at + start, end: begin + one.at + one.length, midi });
    });
    if (glides.length) sung.glides = glides;
    if (swell.length) sung.swell = swell;
    if (chain.length > 1) sung.joined = chain.slice(1).map((one) => [begin + one.at, one.id]);
    found.push(sung);
  });
  return found;
}

/**
 * The ticks at which the level of a sound changes direction, and the levels there. If a joined note
 * begins at another level than the note before it has reached, the change takes one tick.
 * @param {Note[]} chain the note and those joined to it
 * @param {number} begin the tick of the run at which the pass begins
 * @returns {[tick: number, level: number][]}
 */
function swellOf(chain, begin) {
  /** @type {[number, number][]} */
  const points = [];
  let level = chain[0].level;
  for (const note of chain) {
    const at = begin + note.at;
    if (note.level !== level) points.push([at, level], [at + 1, note.level]);
    level = note.level;
    for (const [tick, reached] of note.swell ?? []) {
      points.push([at + tick, reached]);
      level = reached;
    }
  }
  return points;
}

/**
 * The grace notes before a note, without those that would begin before the run. They are
 * equal-tempered in every tuning, because they are too short to be tuned.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 * @param {Event} event
 * @param {Note} note
 * @returns {Event[]} in ticks
 */
function graces(notes, options, event, note) {
  return (note.graces ?? []).flatMap(([before, length, semitones], place) => {
    const midi = pitch(notes, options, event.key, semitones, 0);
    return before > event.at ? [] : [{ ...event, at: event.at - before, length, id: `${note.id}.g${place + 1}`, midi }];
  });
}

/**
 * The MIDI number of a note, with cents as its fraction.
 * @param {Notes} notes
 * @param {PlaybackOptions} options
 * @param {number} key its index
 * @param {number} semitones above the tonic
 * @param {number} cents what just tuning adds; left out in equal tuning
 */
export function pitch(notes, options, key, semitones, cents) {
  return notes.keys[key].midi + semitones + (options.just ? cents / 100 : 0);
}
