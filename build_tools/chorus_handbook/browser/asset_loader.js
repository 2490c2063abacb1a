// @ts-check
/**
 * Loads what the player needs from the network: the notes of the exercise, the tones, and the code
 * that plays them.
 *
 * They are fetched and decoded as soon as the page has nothing else to do, so that the first tap on
 * Play sounds at once, even in a hall without a signal. If loading fails, the next tap tries again.
 */

import { FACTS } from "./shared_facts.js";
import { gettext } from "./words.js";

/** @import { Instrument } from "./instrument.js" */
/** @import { Notes } from "./schedule.js" */

/** Sound is not possible; the message tells the reader why. */
export class SoundError extends Error {}

/** Milliseconds after which a page counts as idle in browsers without `requestIdleCallback`. */
const AT_REST_MS = 1500;

export class AssetLoader {
  /**
   * @param {string} notes address of notes.json
   * @param {string} instrument address of instrument.json
   */
  constructor(notes, instrument) {
    /** @type {Cached<Notes>} */
    this.notes = new Cached(() => fetchNotes(new URL(notes, location.href)));
    /** @type {Cached<Pack>} */
    this.pack = new Cached(() => fetchPack(new URL(instrument, location.href)));
    this.code = new Cached(() => import("./playback.js"));
    /** @type {Cached<Instrument>} */
    this.instrument = new Cached(async () => {
      const [pack, code] = await Promise.all([this.pack.get(), this.code.get()]);
      return code.decodeInstrument(pack).catch((reason) => {
        this.pack.forget();
        throw reason;
      });
    });
  }

  /** Fetches and decodes everything when the page is idle, unless the browser is set to save data. */
  prefetch() {
    const connection = /** @type {{saveData?: boolean} | undefined} */ (Reflect.get(navigator, "connection"));
    if (connection?.saveData) return;
    if (!("OfflineAudioContext" in window)) return; // a tap will show the problem
    const fetchAll = async () => {
      await Promise.all([this.notes.get(), this.pack.get(), this.code.get()]);
      atRest(() => void this.instrument.get().catch(() => {}));
    };
    const whenAtRest = () => atRest(() => void fetchAll().catch(() => {}));
    if (document.readyState === "complete") whenAtRest();
    else window.addEventListener("load", whenAtRest, { once: true });
  }
}

/** Does something once the page has nothing else to do. @param {() => void} task */
function atRest(task) {
  if ("requestIdleCallback" in window) requestIdleCallback(task);
  else setTimeout(task, AT_REST_MS);
}

/**
 * A result that is requested only once, and again only after a failure.
 * @template T
 */
class Cached {
  /** @param {() => Promise<T>} request */
  constructor(request) {
    this.request = request;
    /** @type {Promise<T> | null} */
    this.result = null;
  }

  /** The result, requested at the first call. @returns {Promise<T>} */
  get() {
    this.result ??= this.request().catch((reason) => {
      this.result = null;
      throw reason;
    });
    return this.result;
  }

  /** Requests the result again next time, because this one cannot be used. */
  forget() {
    this.result = null;
  }
}

/**
 * Fetches the notes of an exercise. Throws SoundError with a message for the reader.
 * @param {URL} address of its notes.json
 * @returns {Promise<Notes>}
 */
export async function fetchNotes(address) {
  const found = await (await fetched(address)).json();
  if (found.version !== FACTS.formats.notes) throw new Error(`version ${found.version}`);
  return found;
}

/** The tones of the instrument as they are fetched: the text of instrument.json, which describes them, and the bytes of instrument.bin. @typedef {{listed: string, bytes: ArrayBuffer}} Pack */

/**
 * Fetches the tones. Throws SoundError with a message for the reader.
 * @param {URL} index instrument.json
 * @returns {Promise<Pack>}
 */
export async function fetchPack(index) {
  const listed = await (await fetched(index)).text();
  const pack = new URL("instrument.bin", index);
  const hash = packHash(listed);
  if (hash) pack.searchParams.set("sha256", hash);
  return { listed, bytes: await (await fetched(pack)).arrayBuffer() };
}

/** The hash of instrument.bin, as it is written in addresses; "" if instrument.json is damaged, which `decodeInstrument` reports. @param {string} listed the text of instrument.json */
function packHash(listed) {
  try {
    return addressHash(JSON.parse(listed).sha256);
  } catch {
    return "";
  }
}

/**
 * A SHA-256 as it is written in addresses, as `content_hash` in `pages/page.py` does.
 * @param {string} digits in hexadecimal
 */
export function addressHash(digits) {
  const bytes = digits.match(/../g)?.map((pair) => parseInt(pair, 16)) ?? [];
  return btoa(String.fromCharCode(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/**
 * Fetches a file whose address has the hash of its content (`?sha256=`). The browser checks that the
 * content has this hash (Subresource Integrity, W3C), so that a page never gets data of an earlier or
 * later build. If the address has no hash, the file is taken as it is. A file that has not changed is not
 * sent again. Throws SoundError with a message for the reader.
 * @param {URL} address
 * @returns {Promise<Response>}
 */
export async function fetched(address) {
  const hash = address.searchParams.get("sha256")?.replaceAll("-", "+").replaceAll("_", "/");
  const checked = hash ? { integrity: `sha256-${hash}=` } : {};
  let answer = await fetch(address, { cache: "no-cache", ...checked }).catch(() => null);
  if (answer?.ok) return answer;
  // Browsers do not say whether there was no answer, or one with another content.
  if (!answer && hash) answer = await fetch(address, { cache: "no-cache" }).catch(() => null);
  if (!answer) throw new SoundError(gettext("The player’s sound could not be loaded. Try again when you are online."));
  throw new SoundError(
    answer.ok
      ? gettext("The player’s sound is damaged, or newer than this page. Reload the page; if that does not help, tell whoever looks after this handbook.")
      : gettext("The player’s sound is missing from this site. Tell whoever looks after this handbook."),
  );
}
