// @ts-check
/**
 * The button "Hold this chord": sounds the chord at which playback has arrived, or one before or after
 * it, for as long as singers need to tune to it.
 *
 * The chord has steady tones, which do not fade as those of the instrument do, so that singers can hear
 * whether an interval is pure.
 */

import { inCents, namesOf } from "./cents_table.js";
import { pitch } from "./schedule.js";
import { FACTS } from "./shared_facts.js";
import { gettext, joined } from "./words.js";

/** @import { Follower } from "./follow.js" */
/** @import { Mix } from "./mix.js" */
/** @import { Player } from "./player.js" */
/** @import { Note, Notes } from "./schedule.js" */

/** The strengths of the overtones of a steady tone: so many that the beats of impure thirds and fifths are heard. */
const PARTIALS = Array.from({ length: 12 }, (_, n) => (n + 1) ** -1.3);
/** Time constant, in seconds, with which the chord fades in; it fades out faster. */
const FADE = 0.02;
/** Seconds over which the chord moves from one tuning to the other. */
const RETUNE = 0.08;
/** The gain of all tones of the chord together. */
const LEVEL = 0.5;

/** A chord of steady tones. */
export class SteadyChord {
  /**
   * @param {BaseAudioContext} context
   * @param {AudioNode} to
   */
  constructor(context, to) {
    this.context = context;
    this.gain = context.createGain();
    this.gain.gain.value = 0;
    this.gain.connect(to);
    const silent = new Float32Array(PARTIALS.length + 1);
    this.wave = context.createPeriodicWave(silent, new Float32Array([0, ...PARTIALS]));
    /** @type {OscillatorNode[]} */
    this.tones = [];
  }

  /**
   * Sounds these pitches in place of those that sound. If there are as many as before, each tone glides to
   * its new pitch.
   * @param {number[]} midis MIDI numbers, with cents as their fraction
   */
  sound(midis) {
    const now = this.context.currentTime;
    if (midis.length === this.tones.length && midis.length) {
      this.tones.forEach((tone, place) => {
        tone.frequency.setTargetAtTime(hertz(midis[place]), now, RETUNE / 5);
      });
      return;
    }
    this.end();
    if (!midis.length) return;
    this.tones = midis.map((midi) => {
      const tone = new OscillatorNode(this.context, { frequency: hertz(midi), periodicWave: this.wave });
      tone.connect(this.gain);
      tone.start(now + 2 * FADE);
      return tone;
    });
    this.gain.gain.setTargetAtTime(LEVEL / Math.max(2, midis.length), now + 2 * FADE, FADE);
  }

  /** Fades the chord out. */
  end() {
    const now = this.context.currentTime;
    this.gain.gain.setTargetAtTime(0, now, FADE / 4);
    for (const tone of this.tones) tone.stop(now + 2 * FADE);
    this.tones = [];
  }
}

/** The button "Hold this chord" on the page of an exercise, with the chord that it sounds. */
export class ReferenceChord {
  /**
   * @param {HTMLElement} box the exercise, with the player's controls
   * @param {Player} player
   * @param {Follower} follower
   * @param {Mix} mix
   */
  constructor(box, player, follower, mix) {
    this.box = box;
    this.player = player;
    this.follower = follower;
    this.mix = mix;
    this.chord = new SteadyChord(player.context, player.gains.master);
    this.sounding = false;
    /** The tick of the pass whose chord sounds. */
    this.tick = 0;
    for (const button of /** @type {NodeListOf<HTMLButtonElement>} */ (box.querySelectorAll("[data-chord]"))) {
      button.addEventListener("click", () => this.step(Number(button.dataset.chord)));
    }
  }

  /** The ticks at which sustained chords begin; without any, those at which notes begin. */
  get places() {
    const { chords = [], voices } = this.player.notes;
    const onsets = voices.flatMap(({ notes }) => notes.filter((n) => n.semitones.length).map(({ at }) => at));
    const places = chords.length ? chords.map(([at]) => at) : onsets;
    return [...new Set(places)].sort((one, other) => one - other);
  }

  /** Begins to sound the chord at which playback has arrived. */
  begin() {
    const { stretch, offset } = this.player.placeAt(this.player.tickAt);
    this.tick = stretch?.kind === "pass" ? offset : 0;
    this.sounding = true;
    this.follower.inView = false; // the button that was pressed stays where it is
    this.renew();
  }

  /** Goes to the next chord, or to the one before. @param {number} by 1 or -1 */
  step(by) {
    const later = this.places.find((at) => at > this.tick);
    const earlier = this.places.filter((at) => at < this.tick).at(-1);
    this.tick = (by > 0 ? later : earlier) ?? this.tick;
    this.renew();
  }

  /** Sounds the chord again, after the key, the tuning or the voices have changed. */
  renew() {
    if (!this.sounding) return;
    const { notes, options, state, context } = this.player;
    const key = state === "stopped" ? options.key : this.player.keyNow(context.currentTime);
    const levels = this.mix.levels();
    const chord = chordAt(notes, this.tick, levels);
    /** @type {Map<number, string>} */
    const pitches = new Map();
    for (const { note } of chord) {
      const names = namesOf(notes, key, note);
      note.semitones.forEach((semitones, place) => {
        const cents = options.just ? note.cents[place] : 0;
        const midi = pitch(notes, options, key, semitones, note.cents[place]);
        pitches.set(midi, `${names[place]} ${inCents(cents)}`);
      });
    }
    const midis = [...pitches.keys()].sort((one, other) => one - other);
    this.chord.sound(midis);
    this.follower.show(
      chord.map(({ voice, note }) => ({ at: 0, length: 1, kind: "note", key, voice, id: note.id, midi: null, level: 1 })),
      levels,
    );
    const names = joined(midis.map((midi) => pitches.get(midi) ?? ""));
    this.show(
      names
        ? gettext("Holding, with cents from equal temperament: {notes}.", { notes: names })
        : gettext("None of the voices that are turned on sings here."),
    );
  }

  /** Ends the chord. */
  end() {
    if (!this.sounding) return;
    this.sounding = false;
    this.chord.end();
    this.follower.clear();
    this.show("");
  }

  /** Shows whether a chord is held, and tells the reader something about it. @param {string} text */
  show(text) {
    const button = this.box.querySelector(".hb-hold");
    if (button) button.textContent = this.sounding ? gettext("Let go") : gettext("Hold this chord");
    for (const step of this.box.querySelectorAll("[data-chord]")) step.toggleAttribute("hidden", !this.sounding);
    const status = this.box.querySelector(".hb-reference-status");
    if (status) status.textContent = text;
  }
}

/**
 * The notes that sound at a tick of a pass; if there are none, those that sounded last.
 * @param {Notes} notes
 * @param {number} tick
 * @param {Map<string, number>} levels voices at level 0 are left out
 * @returns {{voice: string, note: Note}[]}
 */
export function chordAt(notes, tick, levels) {
  const voices = notes.voices.filter(({ name }) => (levels.get(name) ?? 1) > 0);
  /** @type {(at: number) => {voice: string, note: Note}[]} */
  const sounding = (at) =>
    voices.flatMap(({ name: voice, notes: all }) => {
      const note = all.find((one) => one.semitones.length && one.at <= at && at < one.at + one.length);
      return note ? [{ voice, note }] : [];
    });
  const now = sounding(tick);
  if (now.length) return now;
  const onsets = voices.flatMap(({ notes: all }) =>
    all.filter((note) => note.semitones.length).map(({ at }) => at),
  );
  if (!onsets.length) return [];
  const earlier = onsets.filter((at) => at <= tick);
  return sounding(earlier.length ? Math.max(...earlier) : Math.min(...onsets));
}

/** The frequency of a pitch in hertz. @param {number} midi */
export function hertz(midi) {
  const { a4_hertz, a4_midi } = FACTS.pitch;
  return a4_hertz * 2 ** ((midi - a4_midi) / 12);
}
