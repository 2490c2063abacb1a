// @ts-check
/**
 * The gain nodes through which a run is played: one for each voice, one for all singing, one for
 * the chords between keys, and one for the whole. Singing and chords are brought to the same
 * loudness.
 */

import { brought } from "./loudness.js";
import { schedule } from "./schedule.js";

/** @import { Powers } from "./loudness.js" */
/** @import { Notes, PlaybackOptions } from "./schedule.js" */

/** Time constant, in seconds, with which a level follows its control. */
const LEVEL_SECONDS = 0.012;

export class Gains {
  /**
   * @param {BaseAudioContext} context
   * @param {string[]} voices
   */
  constructor(context, voices) {
    this.context = context;
    /** @param {AudioNode} to */
    const gain = (to) => {
      const made = context.createGain();
      made.connect(to);
      return made;
    };
    this.master = gain(context.destination);
    this.singing = gain(this.master);
    this.chords = gain(this.master);
    /** @type {Map<string, GainNode>} */
    this.voices = new Map(voices.map((name) => [name, gain(this.singing)]));
    /** The levels of the voices from which the loudness is computed (`Mix.shares`). @type {Map<string, number>} */
    this.shares = new Map();
    /** Whether anything sounds, so that levels must move rather than jump. */
    this.sounding = false;
  }

  /**
   * @param {Map<string, number>} levels of the voices, 0 to 1
   * @param {Map<string, number>} shares the levels from which the overall loudness is computed (`Mix.shares`)
   */
  mix(levels, shares) {
    this.shares = shares;
    for (const [name, gain] of this.voices) this.set(gain, levels.get(name) ?? 1);
  }

  /**
   * Brings singing and chords to their loudness.
   * @param {Notes} notes
   * @param {PlaybackOptions} options
   * @param {Powers[]} tones
   */
  balance(notes, options, tones) {
    const key = options.first ?? 0;
    const one = { ...options, first: key, last: key, passes: 1, count_in: false, chord_first: true };
    const events = schedule(notes, one);
    const chord = events.filter(({ kind, midi }) => kind === "lead" && midi !== null);
    this.set(this.singing, brought(events.filter(({ voice }) => voice !== null), this.shares, tones));
    this.set(this.chords, brought(chord, new Map(), tones));
  }

  /**
   * @param {GainNode} node
   * @param {number} level
   */
  set({ gain }, level) {
    if (this.sounding) gain.setTargetAtTime(level, this.context.currentTime, LEVEL_SECONDS);
    else {
      gain.cancelScheduledValues(0);
      gain.value = level;
    }
  }
}
