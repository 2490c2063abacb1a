// @ts-check
/**
 * A single sound (a note, a click, or a note of a chord) while it is heard: a source of the browser's sound
 * output, and a gain node, which is its volume. Whenever a sound ends or changes, it does so over some
 * milliseconds, so that no click is heard.
 */

import { FACTS } from "./shared_facts.js";

/** @import { Event } from "./schedule.js" */
/** @import { Instrument, Tone } from "./instrument.js" */

/** Seconds over which a sound fades when it is broken off, begins in its middle, or has ended. */
export const FADE = 0.015;
const RELEASE = FACTS.release;
/** Seconds over which a sounding note moves to another pitch when tempo or tuning change. */
const RETUNE = 0.03;

export class Sounding {
  /**
   * Starts an event, or what is left of it.
   * @param {BaseAudioContext} context the browser's sound output
   * @param {Instrument} instrument
   * @param {AudioNode} to the node through which it is heard
   * @param {Event} event if it has a pitch, the instrument must be able to play it
   * @param {number} origin the context's time at second 0 of the run
   * @param {number} [from] the second of the run from which it is heard, if later than its beginning
   */
  constructor(context, instrument, to, event, origin, from = event.at) {
    const late = Math.max(from - event.at, 0);
    this.event = event;
    this.context = context;
    this.begin = origin + event.at + late;
    this.rise = late > 0 ? FADE : 0;
    this.gain = context.createGain();
    // A new gain node has gain 1 until its first automation; even one sample of that would be heard as a tick.
    this.gain.gain.value = 0;
    this.source = context.createBufferSource();
    this.origin = origin;
    /** The MIDI number of the instrument's tone, before it is played faster or slower. */
    this.sampled = 0;
    let offset = 0;
    if (event.midi === null) {
      this.source.buffer = instrument.click(context, event);
      this.end = this.begin + this.source.buffer.duration;
    } else {
      const pitches = [event.midi, ...(event.glides ?? []).map(({ midi }) => midi)];
      const tone = instrument.nearest((Math.min(...pitches) + Math.max(...pitches)) / 2);
      this.sampled = tone.midi;
      this.source.buffer = tone.buffer;
      this.end = origin + event.at + event.length;
      const gone = (event.midi + this.pitchAt(this.begin)) / 2; // exact, except when it begins inside a glide
      offset = this.hold(tone, tone.silence + late * ratio(gone - this.sampled));
      this.aim(this.begin, 0);
    }
    const level = this.gain.gain;
    level.setValueAtTime(this.levelAt(this.begin), this.begin);
    this.rest(this.begin);
    this.source.connect(this.gain).connect(to);
    this.source.start(this.begin, offset);
    this.release();
    /** The context's time at which it becomes silent. */
    this.over = this.end + RELEASE;
    this.broken = false;
  }

  /**
   * Makes a tone repeat its loop, so that it lasts as long as the note.
   * @param {Tone} tone
   * @param {number} second of the buffer at which it begins
   * @returns {number} this second; if it is after the loop, the corresponding one inside the loop
   */
  hold({ loop }, second) {
    if (!loop) return second;
    const [start, end] = loop;
    this.source.loop = true;
    this.source.loopStart = start;
    this.source.loopEnd = end;
    return second < end ? second : start + ((second - start) % (end - start));
  }

  /**
   * The pitch at a time of the context.
   * @param {number} time
   */
  pitchAt(time) {
    const second = time - this.origin;
    let midi = this.event.midi ?? 0;
    for (const glide of this.event.glides ?? []) {
      if (second <= glide.start) break;
      const way = Math.min((second - glide.start) / (glide.end - glide.start), 1);
      midi += way * (glide.midi - midi);
    }
    return midi;
  }

  /**
   * Schedules how the pitch changes from a time on. When the playback rate changes exponentially, the pitch
   * changes evenly.
   * @param {number} from a time of the context
   * @param {number} over the seconds in which the pitch moves to where it should be
   */
  aim(from, over) {
    const rate = this.source.playbackRate;
    const reached = from + over;
    if (over) rate.exponentialRampToValueAtTime(ratio(this.pitchAt(reached) - this.sampled), reached);
    else rate.setValueAtTime(ratio(this.pitchAt(from) - this.sampled), from);
    for (const glide of this.event.glides ?? []) {
      if (this.origin + glide.end <= reached) continue;
      const start = Math.max(this.origin + glide.start, reached);
      rate.setValueAtTime(ratio(this.pitchAt(start) - this.sampled), start);
      rate.exponentialRampToValueAtTime(ratio(glide.midi - this.sampled), this.origin + glide.end);
    }
  }

  /**
   * Schedules how the level changes from a time on. A sound that begins in its middle fades in. When the
   * gain changes exponentially, the level changes evenly in decibels.
   * @param {number} from a time of the context
   */
  rest(from) {
    const level = this.gain.gain;
    const risen = this.begin + this.rise;
    if (from < risen) level.linearRampToValueAtTime(this.levelAt(risen), risen);
    for (const [second, reached] of this.event.swell ?? []) {
      const time = this.origin + second;
      if (time > Math.max(from, risen)) level.exponentialRampToValueAtTime(reached, time);
    }
  }

  /** Schedules the fade at its end. */
  release() {
    if (this.event.midi === null) return;
    const end = Math.max(this.end, this.begin + this.rise);
    this.gain.gain.setValueAtTime(this.levelAt(end), end);
    this.gain.gain.linearRampToValueAtTime(0, end + RELEASE);
    this.source.stop(end + RELEASE + 0.01);
  }

  /**
   * Follows a change of tempo or tuning while it sounds.
   * @param {Event} event the same event with its new times and pitches
   * @param {number} origin the context's time at second 0 of the run, at the new tempo
   * @param {number} now the context's time of the change
   */
  change(event, origin, now) {
    if (this.broken || event.midi === null || now >= this.end) return;
    const before = this.pitchAt(now);
    this.event = event;
    this.origin = origin;
    this.end = Math.max(origin + event.at + event.length, now + 0.001);
    this.over = this.end + RELEASE;
    const rate = this.source.playbackRate;
    rate.cancelScheduledValues(now);
    rate.setValueAtTime(ratio(before - this.sampled), now);
    this.aim(now, RETUNE);
    const level = this.gain.gain;
    level.cancelScheduledValues(now);
    level.setValueAtTime(this.levelAt(now), now);
    this.rest(now);
    this.release();
  }

  /**
   * Breaks the sound off, with a short fade.
   * @param {number} now the context's time
   */
  fade(now) {
    if (this.broken || now >= this.over) return;
    this.broken = true;
    const level = this.gain.gain;
    if (now < this.begin) {
      this.source.stop();
      this.gain.disconnect();
      this.over = now;
      return;
    }
    if (now >= this.end && this.event.midi !== null) return; // it is fading already
    level.cancelScheduledValues(now);
    level.setValueAtTime(this.levelAt(now), now);
    level.linearRampToValueAtTime(0, now + FADE);
    this.source.stop(now + FADE + 0.005);
    this.over = now + FADE;
  }

  /**
   * The level at a time of the context.
   * @param {number} time before the end
   */
  levelAt(time) {
    const risen = this.rise ? Math.min(Math.max((time - this.begin) / this.rise, 0), 1) : 1;
    let [from, level] = [this.event.at, this.event.level];
    for (const [second, reached] of this.event.swell ?? []) {
      const way = second > from ? (time - this.origin - from) / (second - from) : 1;
      if (way <= 0) break;
      level *= (reached / level) ** Math.min(way, 1);
      if (way < 1) break;
      from = second;
    }
    return level * risen;
  }
}

/** By what factor the frequency is higher so many semitones up. @param {number} semitones */
function ratio(semitones) {
  return 2 ** (semitones / 12);
}
