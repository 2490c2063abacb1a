// @ts-check
/**
 * The gain nodes (volume controls of the browser's sound output) through which a run is played: one for
 * each voice, one for all singing, one for the chords between keys, and one for everything.
 *
 * A level, from 0 to 1, says how loud a voice is as the reader has set it. The two nodes for singing and
 * for chords are then set so that both are equally loud, whatever the levels are (`balance`).
 */

import { factorToTarget } from "./loudness.js";
import { schedule } from "./schedule.js";

/** @import { Powers } from "./loudness.js" */
/** @import { Notes, PlaybackOptions } from "./schedule.js" */

/** The time constant, in seconds, with which a node moves to a new gain while something sounds. */
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
    /** The levels of the voices from which `balance` computes their loudness (`Mix.shares`). @type {Map<string, number>} */
    this.shares = new Map();
    /** Whether anything sounds. A gain must then move to a new value, because a jump is heard as a click. */
    this.sounding = false;
  }

  /**
   * Sets how loud each voice is. `balance` has to be called after it.
   * @param {Map<string, number>} levels of the voices, 0 to 1
   * @param {Map<string, number>} shares their levels by role alone, without sliders (`Mix.shares`); the
   *   loudness of all singing is computed from these, so that moving a slider can be heard
   */
  mix(levels, shares) {
    this.shares = shares;
    for (const [name, gain] of this.voices) this.set(gain, levels.get(name) ?? 1);
  }

  /**
   * Makes all singing, and the chords between keys, equally loud. Their loudness is computed from a single
   * pass in one key, the first that is played, because it is much the same in all keys.
   * @param {Notes} notes
   * @param {PlaybackOptions} options
   * @param {Powers[]} tones
   */
  balance(notes, options, tones) {
    const key = options.first ?? 0;
    const one = { ...options, first: key, last: key, passes: 1, count_in: false, chord_first: true };
    const events = schedule(notes, one);
    const chord = events.filter(({ kind, midi }) => kind === "lead" && midi !== null);
    this.set(this.singing, factorToTarget(events.filter(({ voice }) => voice !== null), this.shares, tones));
    this.set(this.chords, factorToTarget(chord, new Map(), tones));
  }

  /**
   * Sets the gain of a node.
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
