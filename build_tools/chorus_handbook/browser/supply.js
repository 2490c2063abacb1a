// @ts-check
/**
 * What the player needs from the network: the notes of the exercise and the tones. They are fetched
 * as soon as the page has nothing else to do, so that the first tap sounds in a hall without a
 * signal too. What could not be had is asked for again by the next tap.
 */

import { fetched, fetchPack } from "./instrument.js";

/** @import { Notes } from "./schedule.js" */
/** @import { Pack } from "./instrument.js" */

/** The form of notes.json that the player reads. */
const VERSION = 1;
/** Milliseconds after which a page is taken to be at rest, where the browser cannot tell. */
const AT_REST_MS = 1500;

export class Supply {
  /**
   * @param {string} notes address of notes.json
   * @param {string} instrument address of instrument.json
   */
  constructor(notes, instrument) {
    /** @type {Kept<Notes>} */
    this.notes = new Kept(() => fetchNotes(new URL(notes, location.href)));
    /** @type {Kept<Pack>} */
    this.pack = new Kept(() => fetchPack(new URL(instrument, location.href)));
  }

  /** Fetches all when the page is at rest, unless the reader's browser saves data. */
  ahead() {
    const connection = /** @type {{saveData?: boolean} | undefined} */ (Reflect.get(navigator, "connection"));
    if (connection?.saveData) return;
    const fetchAll = () => void Promise.all([this.notes.get(), this.pack.get()]).catch(() => {}); // a tap tells
    const whenAtRest = () =>
      "requestIdleCallback" in window ? requestIdleCallback(fetchAll) : setTimeout(fetchAll, AT_REST_MS);
    if (document.readyState === "complete") whenAtRest();
    else window.addEventListener("load", whenAtRest, { once: true });
  }
}

/**
 * An answer that is asked for once, and again only after a failure.
 * @template T
 */
class Kept {
  /** @param {() => Promise<T>} ask */
  constructor(ask) {
    this.ask = ask;
    /** @type {Promise<T> | null} */
    this.asked = null;
  }

  /** @returns {Promise<T>} */
  get() {
    this.asked ??= this.ask().catch((reason) => {
      this.asked = null;
      throw reason;
    });
    return this.asked;
  }

  /** What came turned out to be of no use. */
  forget() {
    this.asked = null;
  }
}

/**
 * @param {URL} address
 * @returns {Promise<Notes>}
 */
async function fetchNotes(address) {
  const found = await (await fetched(address)).json();
  if (found.version !== VERSION) throw new Error(`version ${found.version}`);
  return found;
}
