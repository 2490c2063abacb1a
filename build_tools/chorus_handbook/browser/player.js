// @ts-check
/**
 * Plays a run: the sounds that `schedule.js` gives. It hands each sound to the audio context (the browser's
 * sound output, which has a clock of its own) a little before it begins. So a busy page does not interrupt
 * the sound, and a change of tempo or key still takes effect at once.
 *
 * It works the same on a live context (call `tick` again and again) and on an offline one, which computes
 * sound without playing it (call `fill` once).
 */

import { Gains } from "./gains.js";
import { runTicks, schedule, secondsATick, stretches } from "./schedule.js";
import { FADE, Sounding } from "./sounding.js";

/** @import { Event, Notes, PlaybackOptions, Stretch } from "./schedule.js" */
/** @import { Instrument } from "./instrument.js" */

/** What is played: all keys, one key, one key over and over, or one key, after which the singer chooses the next. @typedef {"climb" | "once" | "loop" | "by-hand"} PlayMode */
/** The options that a reader sets. `key`: the index of the key to begin with; `tempo`: a factor of the exercise's own. @typedef {{mode: PlayMode, key: number, tempo: number, just: boolean, countIn: boolean}} PlayOptions */

/** How many seconds before it begins a sound is handed to the context. */
export const LOOKAHEAD = 0.4;
/** The same in a hidden tab, where timers run less often. */
const HIDDEN_LOOKAHEAD = 3;
/** Seconds from a tap to its effect: enough to hand all of it to the context in time. */
const SOON = 0.01;
/** How many passes of a loop are scheduled at a time; the next ones follow without a gap. */
const LOOP_PASSES = 16;

export class Player {
  /**
   * @param {BaseAudioContext} context
   * @param {Instrument} instrument
   * @param {Notes} notes
   * @param {PlayOptions} options
   */
  constructor(context, instrument, notes, options) {
    this.context = context;
    this.instrument = instrument;
    this.notes = notes;
    this.options = { ...options };
    /** @type {"stopped" | "playing" | "paused"} */
    this.state = "stopped";
    /** The tick of the run from which `play` continues. */
    this.tickAt = 0;
    this.onEnd = () => {};
    this.gains = new Gains(context, notes.voices.map(({ name }) => name));
    /** The sounds that are heard or about to be, each with its index among these events. @type {{sounding: Sounding, place: number, events: Event[]}[]} */
    this.active = [];
    this.playback = this.playbackOf(options.key, options.countIn);
    /** All events of the run, and the index of the next one to hand to the context. @type {Event[]} */
    this.events = [];
    this.next = 0;
    /** The context's time at the beginning of the run. */
    this.origin = 0;
    /** Whether the passes that are scheduled now follow earlier ones of the same loop. */
    this.looped = false;
  }

  /**
   * The options of a run for `schedule`.
   * @param {number} key its index
   * @param {boolean} countIn
   * @returns {PlaybackOptions}
   */
  playbackOf(key, countIn) {
    const { mode, tempo, just } = this.options;
    return {
      tempo,
      just,
      first: key,
      last: mode === "climb" ? null : key,
      passes: mode === "loop" ? LOOP_PASSES : null,
      count_in: countIn,
      chord_first: countIn,
    };
  }

  /** Plays from the beginning, or from where it was paused. */
  play() {
    if (this.state === "playing") return;
    const resumed = this.state === "paused";
    if (!resumed) {
      this.playback = this.playbackOf(this.options.key, this.options.countIn);
      this.tickAt = 0;
    }
    this.state = "playing";
    this.begin(this.tickAt, this.context.currentTime + (resumed ? SOON : 5 * SOON));
  }

  /** Pauses; `play` continues from there. A count-in that was interrupted begins again, with its chord. */
  pause() {
    if (this.state !== "playing") return;
    const now = this.context.currentTime + SOON;
    this.tickAt = this.tickNow(now);
    if (this.tickAt < this.opening) this.tickAt = 0;
    this.state = "paused";
    this.hush(now);
  }

  /**
   * Goes to the beginning of a key, with the chord before it.
   * @param {number} key
   */
  goTo(key) {
    const now = this.context.currentTime + SOON;
    if (this.state === "playing") this.hush(now);
    this.options.key = key;
    this.playback = { ...this.playbackOf(key, false), chord_first: true };
    this.state = "playing";
    this.begin(0, now);
  }

  /**
   * Plays from a tick of a pass (the one that sounds, or the next one), without a count-in.
   * @param {number} offset
   */
  startAt(offset) {
    const now = this.context.currentTime + SOON;
    const here = this.state === "stopped" ? 0 : this.tickNow(now);
    if (this.state === "stopped") this.playback = this.playbackOf(this.options.key, false);
    if (this.state === "playing") this.hush(now);
    const pass = stretches(this.notes, this.playback).find(({ kind, to }) => kind === "pass" && to > here);
    this.state = "playing";
    this.begin((pass?.from ?? 0) + offset, now);
  }

  /** Stops; `play` begins anew. */
  stop() {
    this.state = "stopped";
    this.tickAt = 0;
    this.hush(this.context.currentTime + SOON);
  }

  /** Called again and again while it plays. @param {boolean} hidden whether the page is hidden */
  tick(hidden) {
    if (this.state !== "playing") return;
    const now = this.context.currentTime;
    this.fill(now + (hidden ? HIDDEN_LOOKAHEAD : LOOKAHEAD));
    this.active = this.active.filter(({ sounding }) => sounding.over > now - 0.5);
    const end = this.origin + runTicks(this.notes, this.playback) * this.second;
    if (now >= end) {
      this.stop();
      this.onEnd();
    }
  }

  /**
   * Hands everything that begins before a time to the context.
   * @param {number} until the time, by the context's clock
   */
  fill(until) {
    for (;;) {
      const event = this.events[this.next];
      if (event) {
        if (this.origin + event.at >= until) return;
        this.sound(this.next, event.at);
        this.next += 1;
      } else {
        const end = this.origin + runTicks(this.notes, this.playback) * this.second;
        if (this.options.mode !== "loop" || end >= until) return;
        this.origin = end;
        this.looped = true;
        this.playback = this.playbackOf(this.options.key, false);
        this.events = schedule(this.notes, this.playback);
        this.next = 0;
      }
    }
  }

  /**
   * Starts an event from a second of the run on, or from now if that has passed.
   * @param {number} place its index in the events
   * @param {number} from
   */
  sound(place, from) {
    const event = this.events[place];
    const late = Math.max(from, this.context.currentTime - this.origin);
    if (event.midi === null ? late > event.at + 2 * FADE : late >= event.at + event.length) return;
    if (event.midi !== null && !this.instrument.reaches(event.midi)) return;
    const { master, chords, voices } = this.gains;
    const to = (event.voice !== null && voices.get(event.voice)) || (event.midi === null ? master : chords);
    const start = late > event.at + FADE ? late : event.at;
    const sounding = new Sounding(this.context, this.instrument, to, event, this.origin, start);
    this.active.push({ sounding, place, events: this.events });
  }

  /** The seconds of a tick at the current tempo. */
  get second() {
    return secondsATick(this.notes, this.playback);
  }

  /** Ticks before the first pass: the chord and the count-in. */
  get opening() {
    const first = stretches(this.notes, this.playback).find(({ kind }) => kind === "pass");
    return first?.from ?? 0;
  }

  /** The tick of the run at a time. @param {number} time of the context */
  tickNow(time) {
    if (this.state !== "playing") return this.tickAt;
    const tick = (time - this.origin) / this.second;
    // The next passes of a loop are scheduled before the last one has ended, which still sounds then.
    return tick < 0 && this.looped ? tick + runTicks(this.notes, this.playback) : tick;
  }

  /**
   * The stretch in which a tick of the run lies, and the tick within it.
   * @param {number} tick
   * @returns {{stretch: Stretch | undefined, offset: number}}
   */
  placeAt(tick) {
    const all = stretches(this.notes, this.playback);
    const stretch = all.find(({ to }) => tick < to) ?? all.at(-1);
    return { stretch, offset: stretch ? Math.max(0, tick - stretch.from) : 0 };
  }

  /** The index of the key that sounds at a time. @param {number} time of the context */
  keyNow(time) {
    return this.placeAt(this.tickNow(time)).stretch?.key ?? this.options.key;
  }

  /**
   * Begins the run at a tick. Sounds that began before it are heard from their middle.
   * @param {number} tick
   * @param {number} now the context's time
   */
  begin(tick, now) {
    this.events = schedule(this.notes, this.playback);
    this.looped = false;
    this.balance();
    this.origin = now - tick * this.second;
    const from = tick * this.second;
    const later = this.events.findIndex((event) => event.at >= from - 1e-9);
    this.next = later < 0 ? this.events.length : later;
    for (let place = 0; place < this.next; place += 1) {
      const event = this.events[place];
      if (event.midi !== null && event.at + event.length > from) this.sound(place, from);
    }
    this.fill(now + LOOKAHEAD);
  }

  /** Fades out all that sounds, and hands no further events over. @param {number} now the context's time */
  hush(now) {
    for (const { sounding } of this.active) sounding.fade(now);
    this.next = this.events.length;
  }

  /**
   * Applies changed options at once.
   * @param {Partial<PlayOptions>} change
   */
  change(change) {
    const before = this.options;
    const here = this.state === "stopped" ? before.key : this.keyNow(this.context.currentTime);
    this.options = { ...before, ...change };
    if (this.state === "stopped") return;
    const { mode, key, tempo, just } = this.options;
    if (mode !== before.mode || (change.key !== undefined && key !== here)) {
      this.options.key = change.key ?? here;
      this.move(this.options.key);
    } else if (tempo !== before.tempo || just !== before.just) {
      this.bend(tempo, just);
    }
  }

  /**
   * Continues at the same place of the pass in another key or play mode.
   * @param {number} key
   */
  move(key) {
    const now = this.context.currentTime + SOON;
    const tick = this.tickNow(now);
    const { stretch, offset } = this.placeAt(tick);
    const counting = tick < this.opening;
    this.playback = this.playbackOf(key, counting);
    const turn = stretch?.kind === "pass" ? stretch.turn : 0;
    const all = stretches(this.notes, this.playback);
    const there = all.find((one) => one.kind === "pass" && one.turn === turn) ?? all[0];
    this.tickAt = counting ? tick : (there?.from ?? 0) + (stretch?.kind === "lead" ? 0 : offset);
    if (this.state !== "playing") return;
    this.hush(now);
    this.begin(this.tickAt, now);
  }

  /**
   * Goes on at another tempo or in another tuning, without interrupting the sound.
   * @param {number} tempo
   * @param {boolean} just
   */
  bend(tempo, just) {
    const now = this.context.currentTime + SOON;
    const tick = (now - this.origin) / this.second; // negative if the next passes of a loop are scheduled already
    this.playback = { ...this.playback, tempo, just };
    if (this.state !== "playing") return;
    const old = this.events;
    this.origin = now - tick * this.second;
    this.events = schedule(this.notes, this.playback); // the same events in the same order
    for (const one of this.active) {
      if (one.events !== old) continue; // the end of an earlier loop
      if (one.sounding.begin > now) {
        one.sounding.fade(now);
        this.next = Math.min(this.next, one.place);
      } else {
        one.sounding.change(this.events[one.place], this.origin, now);
        one.events = this.events;
      }
    }
    this.active = this.active.filter(({ sounding, events }) => !sounding.broken || events !== old);
    this.fill(now + LOOKAHEAD);
  }

  /**
   * Sets how loud each voice is; see `Gains.mix`. Without `shares`, the loudness of all singing is computed
   * from the levels themselves.
   * @param {Map<string, number>} levels
   * @param {Map<string, number>} [shares]
   */
  mix(levels, shares = levels) {
    this.gains.sounding = this.state === "playing" && this.active.length > 0;
    this.gains.mix(levels, shares);
    this.balance();
  }

  /** Makes singing and chords equally loud; see `Gains.balance`. */
  balance() {
    this.gains.sounding = this.state === "playing" && this.active.length > 0;
    this.gains.balance(this.notes, this.playback, this.instrument.tones);
  }

  /**
   * The events that sound at a time of the context, including those of silent voices.
   * @param {number} time
   * @returns {Event[]}
   */
  due(time) {
    return this.active
      .filter(({ sounding }) => {
        const { event, origin, broken, begin } = sounding;
        return !broken && begin <= time && time < origin + event.at + event.length;
      })
      .map(({ sounding: { event, origin } }) => {
        const now = (event.joined ?? []).filter(([second]) => origin + second <= time).at(-1);
        return now ? { ...event, id: now[1] } : event;
      });
  }
}
