// @ts-check
/**
 * The instrument on which the player plays: recorded tones three semitones apart, which are played faster
 * or slower for the notes in between; and the soft clicks of count-ins and spoken beats.
 */

import { SoundError } from "./asset_loader.js";
import { pitch } from "./schedule.js";
import { FACTS } from "./shared_facts.js";
import { gettext } from "./words.js";

/** @import { Pack } from "./asset_loader.js" */
/** @import { Event, Notes } from "./schedule.js" */

/**
 * A decoded tone. `silence`: the seconds before it begins in the buffer. `loop`: the seconds of the
 * buffer between which it can be repeated; missing if the tone is to die away. `power`: how loud it is
 * as it dies away (`loudness.js`).
 * @typedef {{midi: number, buffer: AudioBuffer, silence: number, loop?: [number, number], power: number[]}} Tone
 */

/** One tone as instrument.json describes it: where its bytes are in the pack, and its measures (see `Tone`). @typedef {{midi: number, start: number, bytes: number, loop?: [number, number], onset: number, power: number[]}} Sample */

/** How many semitones beyond the lowest and the highest tone notes are played. */
const BEYOND = FACTS.reach.beyond;
/** Seconds over which the end of a loop is blended into its beginning. */
const JOINT = 0.03;
/** The kinds of clicks: for spoken beats by their height, and for count-ins. @typedef {keyof typeof FACTS.click.hertz} Click */
const CLICK = FACTS.click;
/** The sample rate at which tones are decoded; an audio context converts it to its own. */
const RATE = 48_000;

export class Instrument {
  /** @param {Tone[]} tones in rising order, at least one */
  constructor(tones) {
    this.tones = tones;
    /** @type {Map<string, AudioBuffer>} */
    this.clicks = new Map();
  }

  /**
   * Whether a note can be played.
   * @param {number} midi
   */
  reaches(midi) {
    const [lowest, highest] = [this.tones[0].midi, this.tones[this.tones.length - 1].midi];
    return midi > lowest - BEYOND - 0.5 && midi < highest + BEYOND + 0.5;
  }

  /**
   * The tone nearest to a note.
   * @param {number} midi
   * @returns {Tone}
   */
  nearest(midi) {
    return this.tones.reduce((best, tone) =>
      Math.abs(tone.midi - midi) < Math.abs(best.midi - midi) ? tone : best,
    );
  }

  /**
   * A short, soft click, too short for its pitch to distract singers.
   * @param {BaseAudioContext} context
   * @param {Event} event
   * @returns {AudioBuffer}
   */
  click(context, { spoken, one }) {
    const kind = /** @type {Click} */ (spoken ?? (one ? "one" : "count"));
    const made = this.clicks.get(kind);
    if (made?.sampleRate === context.sampleRate) return made;
    const rate = context.sampleRate;
    const buffer = context.createBuffer(1, Math.round(CLICK.seconds * rate), rate);
    const samples = buffer.getChannelData(0);
    for (let n = 0; n < samples.length; n += 1) {
      const time = n / rate;
      const rise = Math.min(time / CLICK.rise, 1);
      const fall = Math.min((CLICK.seconds - time) / CLICK.fall, 1);
      const wave = Math.sin(2 * Math.PI * CLICK.hertz[kind] * time);
      samples[n] = CLICK.peak * rise * fall * Math.exp(-time / CLICK.decay) * wave;
    }
    this.clicks.set(kind, buffer);
    return buffer;
  }
}

/**
 * Decodes the tones, which can be done before the user taps. Throws SoundError with a message for the
 * reader.
 * @param {Pack} pack
 * @returns {Promise<Instrument>}
 */
export async function decodeInstrument({ listed, bytes }) {
  /** @type {Tone[]} */
  let tones;
  try {
    /** @type {{version: number, samples: Sample[]}} */
    const { version, samples } = JSON.parse(listed);
    if (version !== FACTS.formats.instrument || !samples.length) throw new Error(`version ${version}`);
    const whole = samples.reduce((sum, sample) => sum + sample.bytes, 0);
    if (whole !== bytes.byteLength) throw new Error("the tones are not those that are listed");
    const context = new OfflineAudioContext(1, 1, RATE);
    tones = await Promise.all(
      samples.map(async ({ midi, start, bytes: count, loop, onset, power }) => {
        const buffer = await context.decodeAudioData(bytes.slice(start, start + count));
        const silence = silenceBefore(buffer, onset);
        return { midi, buffer, silence, loop: loop && joined(buffer, silence, loop), power };
      }),
    );
  } catch (reason) {
    console.warn("instrument", reason);
    throw new SoundError(
      gettext("The player’s tones are damaged. Reload the page; if that does not help, tell whoever looks after this handbook."),
    );
  }
  tones.sort((one, other) => one.midi - other.midi);
  return new Instrument(tones);
}

/**
 * Blends the end of a loop into its beginning, because the encoder's noise differs between the two,
 * which would be heard as a tick.
 * @param {AudioBuffer} buffer changed in place
 * @param {number} silence the seconds before the tone begins
 * @param {[number, number]} loop where the loop begins and ends, in seconds after the silence
 * @returns {[number, number] | undefined} the same in seconds of the buffer; undefined if it does not fit
 */
function joined(buffer, silence, [from, to]) {
  const rate = buffer.sampleRate;
  const end = Math.round((silence + to) * rate);
  const start = end - Math.round((to - from) * rate);
  const blend = Math.round(JOINT * rate);
  if (start < blend || end > buffer.length) return undefined;
  const samples = buffer.getChannelData(0);
  for (let n = 1; n <= blend; n += 1) {
    const way = n / blend;
    samples[end - blend + n - 1] = (1 - way) * samples[end - blend + n - 1] + way * samples[start - blend + n - 1];
  }
  return [start / rate, end / rate];
}

/**
 * The seconds of silence before a tone. Each browser's decoder adds a different length, so it is measured;
 * more exactly than to a sample, as in `sound/tone_measures.py`, so that tones that begin together stay in
 * phase.
 * @param {AudioBuffer} buffer
 * @param {number} onset seconds from the tone's beginning to the moment at which it can be heard
 */
function silenceBefore(buffer, onset) {
  const { within, audible } = FACTS.onset;
  const near = buffer.getChannelData(0).subarray(0, Math.round(within * buffer.sampleRate));
  const peak = near.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
  if (!peak) throw new Error("a tone is silent");
  const level = audible * peak;
  const first = near.findIndex((sample) => Math.abs(sample) > level);
  const [before, after] = [Math.abs(near[first - 1] ?? 0), Math.abs(near[first])];
  return Math.max(0, (first - 1 + (level - before) / (after - before)) / buffer.sampleRate - onset);
}

/**
 * Whether an exercise has notes, in any of its keys, that the instrument cannot play.
 * @param {Instrument} instrument
 * @param {Notes} notes
 */
export function lacksTones(instrument, notes) {
  return notes.keys.some((_, key) =>
    notes.voices.some((voice) =>
      voice.notes.some((note) => note.semitones.some((one) => !instrument.reaches(pitch(notes, {}, key, one, 0)))),
    ),
  );
}
