// @ts-check
/**
 * Plays an exercise and shows in the score which notes sound.
 *
 * This module and all that it imports are loaded together with the tones (`asset_loader.js`),
 * because a page is read long before it is heard.
 */

import { Follower } from "./follow.js";
import { ReferenceChord } from "./reference_chord.js";
import { lacksTones } from "./instrument.js";
import { Player } from "./player.js";
import { SingleNote, startingPitches } from "./starting_note.js";

/** @import { Instrument } from "./instrument.js" */
/** @import { Mix } from "./mix.js" */
/** @import { PlayOptions } from "./player.js" */
/** @import { Notes } from "./schedule.js" */

export { fillCents } from "./cents_table.js";
export { decodeInstrument } from "./instrument.js";

export class Playback {
  /**
   * @param {AudioContext} context
   * @param {Instrument} tones
   * @param {Notes} notes
   * @param {{box: HTMLElement, figure: HTMLElement, mix: Mix, options: PlayOptions}} page the element of the
   *   exercise, its score, how loud each voice is, and the options that are set
   */
  constructor(context, tones, notes, { box, figure, mix, options }) {
    this.notes = notes;
    this.player = new Player(context, tones, notes, options);
    this.player.mix(mix.levels(), mix.shares());
    this.follower = new Follower(figure, notes);
    this.reference = new ReferenceChord(box, this.player, this.follower, mix);
    this.single = new SingleNote(context, this.player.gains.master, tones);
    /** Whether the instrument cannot play some of the notes. */
    this.lacksTones = lacksTones(tones, notes);
  }

  /**
   * Sounds the note on which a voice starts.
   * @param {string} voice "" for the tonic
   * @param {number} key its place among the keys of the exercise, from 0
   * @param {boolean} just whether it is tuned just rather than equal
   */
  soundStart(voice, key, just) {
    this.single.sound(startingPitches(this.notes, voice, key, just));
  }
}
