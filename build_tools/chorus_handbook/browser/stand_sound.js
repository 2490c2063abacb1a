// @ts-check
/** Plays sound for the music stand: the starting notes of a key, or an exercise once in one key. */

import { fetchNotes, fetchPack, SoundError } from "./asset_loader.js";
import { SoundingPage } from "./sounding_page.js";
import { StandButtons } from "./stand_buttons.js";

/** @import { Instrument } from "./instrument.js" */
/** @import { Notes } from "./schedule.js" */
/** @import { Player } from "./player.js" */
/** @import { SingleNote } from "./starting_note.js" */

/** How often the player hands sounds over while it plays, in milliseconds. */
const TICK_MS = 100;

/**
 * A copy of `notes` with only the keys on these tonics, such as ["Db4", "C4"], and in their order.
 * Tonics that are not among the keys of the notes are left out. The same as `in_keys` in `sound/schedule.py`.
 * @param {Notes} notes
 * @param {string[]} tonics
 * @returns {Notes}
 */
function inKeys(notes, tonics) {
  const places = tonics.map((tonic) => notes.keys.findIndex(({ key }) => key === tonic)).filter((place) => place >= 0);
  return { ...notes, keys: places.map((place) => notes.keys[place]), lead_chord: places.map((place) => notes.lead_chord[place]) };
}

export class StandSound {
  /**
   * @param {string} instrument address of instrument.json
   * @param {(message: string) => void} tell shows a message on the stand
   */
  constructor(instrument, tell) {
    this.address = new URL(instrument, location.href);
    this.tell = tell;
    this.page = new SoundingPage({ giveWay: () => this.stop(), interrupted: () => this.stop() });
    /** @type {Promise<{instrument: Instrument, code: {SingleNote: typeof SingleNote, SECONDS: number, Player: typeof Player}}> | null} */
    this.loaded = null;
    /** @type {Map<string, Promise<Notes>>} */
    this.notes = new Map();
    /** @type {SingleNote | null} */
    this.single = null;
    /** @type {Player | null} */
    this.player = null;
    this.timer = 0;
    this.buttons = new StandButtons();
    /** Resolves the promise of `hear`, which `stop` may end early. @type {(whole: boolean) => void} */
    this.ended = () => {};
    /** Increased by every `stop`, so that sound which was still loading then is not played. */
    this.stops = 0;
  }

  /** Fetches everything in advance, while there is a connection. @param {string[]} notes addresses of notes.json */
  fetchAll(notes) {
    this.load().catch(() => {}); // a tap tries again and reports the failure
    for (const address of notes) this.notesOf(address).catch(() => {});
  }

  /** Loads the instrument and the code that plays it, once; after a failure, the next call tries again. */
  load() {
    this.loaded ??= Promise.all([
      fetchPack(this.address).then(async (pack) => (await import("./instrument.js")).decodeInstrument(pack)),
      import("./starting_note.js"),
      import("./player.js"),
    ])
      .then(([instrument, { SingleNote, SECONDS }, { Player }]) => ({ instrument, code: { SingleNote, SECONDS, Player } }))
      .catch((reason) => {
        this.loaded = null;
        throw reason;
      });
    return this.loaded;
  }

  /** The notes of an exercise, fetched once. @param {string} address of its notes.json */
  notesOf(address) {
    const notes = this.notes.get(address) ?? fetchNotes(new URL(address, location.href));
    this.notes.set(address, notes);
    notes.catch(() => this.notes.delete(address));
    return notes;
  }

  /** Sounds notes for a moment. Call this while a tap is handled: browsers allow sound only then. @param {number[]} midis MIDI numbers */
  async give(midis) {
    await this.sounding(async (context) => {
      const { instrument, code } = await this.load();
      this.single ??= new code.SingleNote(context, context.destination, instrument);
      this.single.sound(midis);
      this.buttons.begin("notes");
      this.timer = window.setTimeout(() => this.buttons.end(), code.SECONDS * 1000);
    });
  }

  /**
   * Plays an exercise in some keys, one after another, after a chord and a count-in.
   * @param {string} address of its notes
   * @param {string[]} tonics
   * @param {string[]} absent voices that are not heard
   * @param {(tonic: string) => void} shows called again and again with the key that sounds
   * @returns {Promise<boolean>} whether it was played to its end
   */
  async hear(address, tonics, absent, shows) {
    let whole = false;
    await this.sounding(async (context) => {
      const { stops } = this;
      const [{ instrument, code }, all] = await Promise.all([this.load(), this.notesOf(address)]);
      if (stops !== this.stops) return;
      const notes = inKeys(all, tonics);
      const options = { mode: /** @type {const} */ ("climb"), key: 0, tempo: 1, just: true, countIn: true };
      const player = new code.Player(context, instrument, notes, options);
      const levels = notes.voices.map(({ name }) => /** @type {const} */ ([name, absent.includes(name) ? 0 : 1]));
      player.mix(new Map(levels));
      this.player = player;
      this.buttons.begin("key");
      whole = await new Promise((done) => {
        player.onEnd = () => done(true);
        this.ended = done;
        player.play();
        this.timer = window.setInterval(() => {
          player.tick(document.hidden);
          if (player.state === "playing") shows(notes.keys[player.keyNow(context.currentTime)].key);
        }, TICK_MS);
      });
      this.stop();
    });
    return whole;
  }

  /** Starts the browser's sound output. Call this while a tap is handled, so that sound can begin later without another tap. */
  wake() {
    void this.sounding(async () => {});
  }

  /** Pauses what is playing. Sound that is still loading is not played. */
  pause() {
    if (this.player) this.player.pause();
    else this.stop();
  }

  /** Goes on with what `pause` stopped. @returns {boolean} whether there was anything */
  resume() {
    this.player?.play();
    return this.player !== null;
  }

  /**
   * Stops what sounds, starts the browser's sound output, and then does something with it. If there is no
   * sound, the reader is told why.
   * @param {(context: AudioContext) => Promise<void>} sound
   */
  async sounding(sound) {
    this.stop();
    try {
      const { context, running } = this.page.open();
      await running;
      this.page.begins();
      this.tell("");
      await sound(context);
    } catch (reason) {
      if (!(reason instanceof SoundError)) throw reason;
      this.tell(reason.message);
    }
  }

  /** Stops whatever sounds or is still loading. */
  stop() {
    this.stops += 1;
    window.clearInterval(this.timer);
    this.player?.stop();
    this.player = null;
    this.single?.end();
    this.buttons.end();
    this.ended(false);
    this.ended = () => {};
  }
}
