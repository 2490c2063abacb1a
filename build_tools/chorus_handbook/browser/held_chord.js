// @ts-check
/**
 * A chord that stands as long as it is wanted, to tune on: even tones, which do not die away as the
 * instrument's do, so that beats can be heard to stop.
 */

import { FACTS } from "./shared_facts.js";

/** @import { Note, Notes } from "./schedule.js" */

/** Strengths of the partials: enough of them for the beats of thirds and fifths to be heard. */
const PARTIALS = Array.from({ length: 12 }, (_, n) => (n + 1) ** -1.3);
const FADE = 0.02;
/** Seconds over which the chord moves from one tuning to the other. */
const RETUNE = 0.08;
const LEVEL = 0.5;

export class HeldChord {
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
   * Sounds these pitches; as many as before are tuned anew, others replace what sounded.
   * @param {number[]} midis
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

  /** Lets it fade. */
  end() {
    const now = this.context.currentTime;
    this.gain.gain.setTargetAtTime(0, now, FADE / 4);
    for (const tone of this.tones) tone.stop(now + 2 * FADE);
    this.tones = [];
  }
}

/**
 * What the voices sing at a tick of a pass: the notes that sound, else those that sounded last.
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

/** @param {number} midi */
export function hertz(midi) {
  const { a4_hertz, a4_midi } = FACTS.pitch;
  return a4_hertz * 2 ** ((midi - a4_midi) / 12);
}
