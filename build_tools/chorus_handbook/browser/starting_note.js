// @ts-check
/**
 * Sounds the note on which a voice starts, or the tonic, by itself.
 */

import { factorToTarget } from "./loudness.js";
import { pitch } from "./schedule.js";
import { Sounding } from "./sounding.js";

/** @import { Instrument } from "./instrument.js" */
/** @import { Event, Notes } from "./schedule.js" */

/** How long the note sounds, in seconds. */
export const SECONDS = 2;

/**
 * The pitches on which a voice starts in a key, as MIDI numbers; the tonic if it sings none.
 * @param {Notes} notes
 * @param {string} voice "" for the tonic
 * @param {number} key its place among the keys of the exercise, from 0
 * @param {boolean} just whether they are tuned just rather than equal
 */
export function startingPitches(notes, voice, key, just) {
  const first = notes.voices.find(({ name }) => name === voice)?.notes.find((note) => note.semitones.length);
  if (!first) return [pitch(notes, {}, key, 0, 0)];
  return first.semitones.map((semitones, place) => pitch(notes, { just }, key, semitones, first.cents[place]));
}

/** Sounds notes one at a time: each ends the one before it. */
export class SingleNote {
  /**
   * @param {BaseAudioContext} context
   * @param {AudioNode} to
   * @param {Instrument} instrument
   */
  constructor(context, to, instrument) {
    this.context = context;
    this.to = to;
    this.instrument = instrument;
    /** @type {Sounding[]} */
    this.sounding = [];
  }

  /** Sounds notes together for `SECONDS`. @param {number[]} midis MIDI numbers; notes that the instrument cannot play are left out */
  sound(midis) {
    this.end();
    const origin = this.context.currentTime + 0.02;
    /** @type {Event[]} */
    const events = midis
      .filter((midi) => this.instrument.reaches(midi))
      .map((midi) => ({ at: 0, length: SECONDS, kind: "note", key: 0, voice: null, id: null, midi, level: 1 }));
    const level = factorToTarget(events, new Map(), this.instrument.tones);
    this.sounding = events.map(
      (event) => new Sounding(this.context, this.instrument, this.to, { ...event, level }, origin),
    );
  }

  /** Ends the notes that sound. */
  end() {
    for (const one of this.sounding) one.fade(this.context.currentTime);
    this.sounding = [];
  }
}
