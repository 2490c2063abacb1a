// @ts-check
/**
 * What sounds when in a whole run: the count-in, every pass in every key, the chords between keys.
 *
 * The rule of `sound/schedule.py`, in its words; tests/cases/schedule holds both to the same
 * numbers. Moments are added up in whole ticks and turned into seconds only at the end, so that no
 * run drifts, however long it is.
 */

/**
 * A note of notes.json. `semitones` lie above the tonic, one for each pitch the voice sings.
 * @typedef {object} Note
 * @property {string} id
 * @property {string} drawn the id of the element that shows it in the score
 * @property {number} at
 * @property {number} length
 * @property {number[]} semitones
 * @property {number[]} cents
 * @property {[start: number, goals: number[]]} [glide]
 * @property {[before: number, length: number, semitones: number][]} [graces] quick notes ahead of it
 * @property {"middle" | "high" | "low"} [spoken]
 * @property {number} level
 * @property {string} [syllable]
 */

/**
 * @typedef {object} Notes
 * @property {number} version
 * @property {string} title
 * @property {number} tempo beats a minute
 * @property {number} ticks_per_beat
 * @property {number} length ticks of one pass
 * @property {number} passes
 * @property {number} lead_in
 * @property {number} count_in
 * @property {{key: string, midi: number}[]} keys
 * @property {number[][]} lead_chord
 * @property {number[]} lead_cents
 * @property {{name: string, label: string, notes: Note[]}[]} voices
 * @property {{to: string, told: string}} tuning
 * @property {[at: number, length: number][]} [chords]
 */

/**
 * How a run is played; all may be left out. `tempo` multiplies the exercise's own. `first` and
 * `last` are places among its keys. `passes` takes the place of the exercise's own number.
 * @typedef {object} Settings
 * @property {number} [tempo]
 * @property {number} [first]
 * @property {number | null} [last]
 * @property {number | null} [passes]
 * @property {boolean} [count_in]
 * @property {boolean} [chord_first]
 * @property {boolean} [just]
 */

/**
 * One sound. `at` and `length` are seconds of the run, `key` a place among the keys, `midi` a MIDI
 * number with its cents behind the point.
 * @typedef {object} Event
 * @property {number} at
 * @property {number} length
 * @property {"note" | "click" | "lead"} kind
 * @property {number} key
 * @property {string | null} voice
 * @property {string | null} id
 * @property {number | null} midi
 * @property {number} level
 * @property {{start: number, end: number, midi: number}} [glide]
 * @property {string} [spoken]
 */

/**
 * A stretch of a run between two ticks.
 * @typedef {object} Stretch
 * @property {"lead" | "count" | "pass"} kind
 * @property {number} key
 * @property {number} turn which pass of its key
 * @property {number} from
 * @property {number} to
 */

/** The levels of clicks without a note, and of the chord between keys. */
const CLICK_LEVEL = 0.5;
const LEAD_LEVEL = 0.6;
/** Beats of the first key's chord where the exercise has no lead-ins. */
const OPENING_CHORD = 4;

/**
 * All sounds of a run, in order; those that begin together stand in the order of the voices.
 * @param {Notes} notes
 * @param {Settings} settings
 * @returns {Event[]}
 */
export function schedule(notes, settings) {
  const second = secondsATick(notes, settings);
  const found = stretches(notes, settings).flatMap((one) =>
    one.kind === "pass"
      ? pass(notes, settings, one)
      : one.kind === "lead"
        ? lead(notes, settings, one)
        : clicks(notes, one),
  );
  found.sort((one, other) => one.at - other.at); // stable
  return found.map((one) => {
    /** @type {Event} */
    const event = { ...one, at: one.at * second, length: one.length * second };
    if (one.glide) {
      const { start, end, midi } = one.glide;
      event.glide = { start: start * second, end: end * second, midi };
    }
    return event;
  });
}

/**
 * How long a tick lasts at the tempo that is set.
 * @param {Notes} notes
 * @param {Settings} settings
 */
export function secondsATick(notes, settings) {
  return 60 / (notes.tempo * (settings.tempo ?? 1) * notes.ticks_per_beat);
}

/**
 * The stretches of a run, end to end from tick 0.
 * @param {Notes} notes
 * @param {Settings} settings
 * @returns {Stretch[]}
 */
export function stretches(notes, settings) {
  const beat = notes.ticks_per_beat;
  const [first, last] = [settings.first ?? 0, settings.last ?? notes.keys.length - 1];
  /** @type {Stretch[]} */
  const found = [];
  let tick = 0;
  /** @type {(kind: Stretch["kind"], key: number, length: number, turn?: number) => void} */
  const add = (kind, key, length, turn = 0) => {
    if (length > 0) found.push({ kind, key, turn, from: tick, to: tick + length });
    tick += length;
  };
  if (settings.chord_first && notes.lead_cents.length) {
    add("lead", first, (notes.lead_in || OPENING_CHORD) * beat);
  }
  if (settings.count_in ?? true) add("count", first, Math.round(notes.count_in * beat));
  for (let key = first; key <= last; key += 1) {
    if (key > first) add("lead", key, notes.lead_in * beat);
    const passes = settings.passes ?? notes.passes;
    for (let turn = 0; turn < passes; turn += 1) add("pass", key, notes.length, turn);
  }
  return found;
}

/**
 * The length of a run in ticks.
 * @param {Notes} notes
 * @param {Settings} settings
 */
export function runTicks(notes, settings) {
  return stretches(notes, settings).at(-1)?.to ?? 0;
}

/**
 * @param {Notes} notes
 * @param {Stretch} stretch
 * @returns {Event[]} in ticks
 */
function clicks(notes, { key, from, to }) {
  const found = [];
  for (let at = from; at < to; at += notes.ticks_per_beat) {
    /** @type {Event} */
    const click = { at, length: 0, kind: "click", key, voice: null, id: null, midi: null, level: CLICK_LEVEL };
    found.push(click);
  }
  return found;
}

/**
 * The chord of a key; clicks where nobody sings.
 * @param {Notes} notes
 * @param {Settings} settings
 * @param {Stretch} stretch
 * @returns {Event[]} in ticks
 */
function lead(notes, settings, stretch) {
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
    midi: pitch(notes, settings, key, semitones, notes.lead_cents[place]),
    level: LEAD_LEVEL,
  }));
}

/**
 * @param {Notes} notes
 * @param {Settings} settings
 * @param {Stretch} stretch
 * @returns {Event[]} in ticks
 */
function pass(notes, settings, { key, from }) {
  /** @type {Event[]} */
  const found = [];
  for (const voice of notes.voices) {
    voice.notes.forEach((note, turn) => {
      const [at, length] = [from + note.at, note.length];
      /** @type {Event} */
      const event = { at, length, kind: "note", key, voice: voice.name, id: note.id, midi: null, level: note.level };
      found.push(...graces(notes, settings, event, note));
      if (note.spoken) found.push({ ...event, kind: "click", spoken: note.spoken });
      note.semitones.forEach((semitones, place) => {
        const midi = pitch(notes, settings, key, semitones, note.cents[place]);
        /** @type {Event} */
        const sung = { ...event, midi };
        if (note.glide) {
          const [start, goals] = note.glide;
          const after = voice.notes[turn + 1]?.cents ?? [];
          const cents = after[place] ?? after.at(-1) ?? 0;
          const goal = pitch(notes, settings, key, goals[place], cents);
          sung.glide = { start: at + start, end: at + length, midi: goal };
        }
        found.push(sung);
      });
    });
  }
  return found;
}

/**
 * The quick notes before a note; none where the run has not begun yet. In every tuning they are
 * equal-tempered: they are too short to be tuned.
 * @param {Notes} notes
 * @param {Settings} settings
 * @param {Event} event
 * @param {Note} note
 * @returns {Event[]} in ticks
 */
function graces(notes, settings, event, note) {
  return (note.graces ?? []).flatMap(([before, length, semitones], place) => {
    const midi = pitch(notes, settings, event.key, semitones, 0);
    return before > event.at ? [] : [{ ...event, at: event.at - before, length, id: `${note.id}.g${place + 1}`, midi }];
  });
}

/**
 * The MIDI number of a note, its cents behind the point.
 * @param {Notes} notes
 * @param {Settings} settings
 * @param {number} key
 * @param {number} semitones above the tonic
 * @param {number} cents
 */
export function pitch(notes, settings, key, semitones, cents) {
  return notes.keys[key].midi + semitones + (settings.just ? cents / 100 : 0);
}
