// @ts-check
/** Plays sound for the music stand: the starting notes of a key, or an exercise once in one key. */

import { fetchNotes, fetchPack, SoundError } from "./asset_loader.js";
import { SoundingPage } from "./sounding_page.js";

/** @import { Instrument } from "./instrument.js" */
/** @import { Notes } from "./schedule.js" */
/** @import { Player } from "./player.js" */
/** @import { SingleNote } from "./starting_note.js" */

const TICK_MS = 100;

export class StandSound {
  /**
   * @param {string} instrument address of instrument.json
   * @param {(message: string) => void} tell
   */
  constructor(instrument, tell) {
    this.address = new URL(instrument, location.href);
    this.tell = tell;
    this.page = new SoundingPage({ giveWay: () => this.stop(), interrupted: () => this.stop() });
    /** @type {Promise<{instrument: Instrument, code: {SingleNote: typeof SingleNote, Player: typeof Player}}> | null} */
    this.loaded = null;
    /** @type {Map<string, Promise<Notes>>} */
    this.notes = new Map();
    /** @type {SingleNote | null} */
    this.single = null;
    /** @type {Player | null} */
    this.player = null;
    this.timer = 0;
    /** Called when `stop` ends an exercise early: resolves the promise of `hear`. */
    this.ended = () => {};
  }

  /** Fetches everything in advance, while there is a connection. @param {string[]} notes addresses of notes.json */
  fetchAll(notes) {
    this.load().catch(() => {}); // a tap tries again and reports the failure
    for (const address of notes) this.notesOf(address).catch(() => {});
  }

  load() {
    this.loaded ??= Promise.all([
      fetchPack(this.address).then(async (pack) => (await import("./instrument.js")).decodeInstrument(pack)),
      import("./starting_note.js"),
      import("./player.js"),
    ])
      .then(([instrument, { SingleNote }, { Player }]) => ({ instrument, code: { SingleNote, Player } }))
      .catch((reason) => {
        this.loaded = null;
        throw reason;
      });
    return this.loaded;
  }

  /** @param {string} address */
  notesOf(address) {
    const asked = this.notes.get(address) ?? fetchNotes(new URL(address, location.href));
    this.notes.set(address, asked);
    asked.catch(() => this.notes.delete(address));
    return asked;
  }

  /** Sounds notes for a moment. Call it within a tap: browsers allow sound only then. @param {number[]} midis */
  async give(midis) {
    await this.sounding(async (context) => {
      const { instrument, code } = await this.load();
      this.single ??= new code.SingleNote(context, context.destination, instrument);
      this.single.sound(midis);
    });
  }

  /**
   * Plays an exercise once in a key. Resolves when it is over or was stopped.
   * @param {string} address of its notes
   * @param {string} key
   */
  async hear(address, key) {
    await this.sounding(async (context) => {
      const [{ instrument, code }, notes] = await Promise.all([this.load(), this.notesOf(address)]);
      const place = Math.max(0, notes.keys.findIndex((one) => one.key === key));
      const options = { mode: /** @type {const} */ ("once"), key: place, tempo: 1, just: true, countIn: true };
      const player = new code.Player(context, instrument, notes, options);
      player.mix(new Map(), new Map(notes.voices.map(({ name }) => [name, 1])));
      this.player = player;
      await new Promise((done) => {
        player.onEnd = () => done(null);
        this.ended = () => done(null);
        player.play();
        this.timer = window.setInterval(() => player.tick(document.hidden), TICK_MS);
      });
      this.stop();
    });
  }

  /** @param {(context: AudioContext) => Promise<void>} sound */
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

  stop() {
    window.clearInterval(this.timer);
    this.player?.stop();
    this.player = null;
    this.single?.end();
    this.ended();
    this.ended = () => {};
  }
}
