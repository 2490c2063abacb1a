// @ts-check
/**
 * Stores what a reader has chosen (own range, playback, large print and so on), in this browser only, and
 * separately for each handbook. If the browser stores nothing, a choice lasts until the page is left.
 */

import { FACTS } from "./shared_facts.js";

/** @import { OwnRange } from "./own_range_compass.js" */
/** @import { QuickChoice } from "./mix.js" */

/** The range, and whether lists show only what fits it. @typedef {OwnRange & { only_fitting: boolean }} StoredRange */

/**
 * What the player remembers from page to page: the singer's part, the quick choice of what is heard,
 * the tempo in percent of the exercise's own, and whether the tuning is just.
 * @typedef {{part: string | null, mix: QuickChoice, tempo: number, just: boolean}} StoredPlayback
 */

/**
 * The rows of text in every score: what is under the notes, and whether chord names are above them.
 * @typedef {{under: "nothing" | "numbers" | "sol-fa", chords: boolean}} StoredRows
 */

/** Raised when stored fields change their meaning; older entries then count as not set. */
const VERSION = 1;

/**
 * One entry in this browser's storage.
 * @template {object} T
 */
export class StoredChoice {
  /**
   * @param {string} name of the entry
   * @param {(fields: Record<string, unknown>) => T | null} parse reads the stored fields, which may be
   *   anything; returns null if they are of no use
   */
  constructor(name, parse) {
    this.name = name;
    this.parse = parse;
    /** @type {T | null} */
    this.forThisPage = null;
    /** Whether the browser stores anything beyond this page. */
    this.lasting = true;
  }

  /** The choice that is stored. @returns {T | null} null if nothing, or nothing of use, is stored */
  read() {
    if (!this.lasting) return this.forThisPage;
    /** @type {string | null} */
    let text;
    try {
      text = localStorage.getItem(this.name);
    } catch {
      return this.forThisPage; // storage is blocked
    }
    try {
      const fields = JSON.parse(text ?? "null");
      return fields?.version === VERSION ? this.parse(fields) : null;
    } catch {
      return null;
    }
  }

  /** Stores a choice. @param {T} choice */
  save(choice) {
    this.forThisPage = choice;
    try {
      localStorage.setItem(this.name, JSON.stringify({ version: VERSION, ...choice }));
      this.lasting = true;
    } catch {
      this.lasting = false; // blocked or full
    }
  }

  /** Deletes what is stored. */
  clear() {
    this.forThisPage = null;
    try {
      localStorage.removeItem(this.name);
    } catch {
      this.lasting = false;
    }
  }
}

/**
 * The reader's own range.
 * @param {string} handbook the address of the handbook, since several may be on one host
 * @returns {StoredChoice<StoredRange>}
 */
export function storedRange(handbook) {
  return new StoredChoice(`${FACTS.stored.own_range} ${handbook}`, ({ voice, lowest, highest, only_fitting }) => {
    if (!isTextOrNull(voice) || !isNoteOrNull(lowest) || !isNoteOrNull(highest)) return null;
    return { voice, lowest, highest, only_fitting: only_fitting === true };
  });
}

/**
 * What the player remembers.
 * @param {string} handbook
 * @returns {StoredChoice<StoredPlayback>}
 */
export function storedPlayback(handbook) {
  return new StoredChoice(`${FACTS.stored.playback} ${handbook}`, ({ part, mix, tempo, just }) => {
    if (!isTextOrNull(part) || typeof tempo !== "number" || !Number.isFinite(tempo)) return null;
    const known = mix === "louder" || mix === "only" || mix === "others" || mix === "echo";
    return { part, mix: known ? mix : "all", tempo, just: just === true };
  });
}

/**
 * The rows of texts that are shown at the notes of scores.
 * @param {string} handbook
 * @returns {StoredChoice<StoredRows>}
 */
export function storedRows(handbook) {
  return new StoredChoice(`chorus-handbook rows ${handbook}`, ({ under, chords }) => ({
    under: under === "numbers" || under === "sol-fa" ? under : "nothing",
    chords: chords === true,
  }));
}

/**
 * Whether text and scores are shown and printed large.
 * @param {string} handbook
 * @returns {StoredChoice<{large: boolean}>}
 */
export function storedLargePrint(handbook) {
  return new StoredChoice(`${FACTS.stored.large_print} ${handbook}`, ({ large }) => ({ large: large === true }));
}

/**
 * The last key in which each exercise was practised at home: pairs of the exercise's slug and the
 * key's tonic. They are not stored as an object with slugs as names, because a slug such as "constructor"
 * is the name of something that every object has.
 * @param {string} handbook
 * @returns {StoredChoice<{keys: [string, string][]}>}
 */
export function storedKeys(handbook) {
  return new StoredChoice(`chorus-handbook keys-at-home ${handbook}`, ({ keys }) => {
    if (!Array.isArray(keys)) return null;
    return { keys: keys.filter((pair) => pair?.length === 2 && pair.every((/** @type {unknown} */ one) => typeof one === "string")) };
  });
}

/** The event that tells the player that a part was chosen elsewhere on the page; `detail: {part}`. */
export const PART_EVENT = "handbook:part";

/** The event that tells a page that the reader's own range is known or has changed; `detail: {singer}`. */
export const RANGE_EVENT = "handbook:own-range";

/** The choices of a reader who has stored none. @type {StoredPlayback} */
export const DEFAULT_PLAYBACK = { part: null, mix: "all", tempo: 100, just: false };

/**
 * The stored choices with another part. A singer who chooses a part for the first time hears it louder
 * than the others, unless she has already chosen what is heard.
 * @param {StoredPlayback | null} stored
 * @param {string} part
 * @returns {StoredPlayback}
 */
export function withPart(stored, part) {
  const { mix, ...others } = stored ?? DEFAULT_PLAYBACK;
  return { ...others, part, mix: stored?.part || mix !== "all" ? mix : "louder" };
}

/**
 * Makes a voice the singer's part in the player, on this page and on those opened later.
 * @param {string} handbook
 * @param {string} part the name of the voice
 */
export function choosePart(handbook, part) {
  const store = storedPlayback(handbook);
  store.save(withPart(store.read(), part));
  document.dispatchEvent(new CustomEvent(PART_EVENT, { detail: { part } }));
}

/**
 * @param {unknown} value
 * @returns {value is string | null}
 */
function isTextOrNull(value) {
  return value === null || typeof value === "string";
}

/**
 * @param {unknown} value
 * @returns {value is number | null}
 */
function isNoteOrNull(value) {
  return value === null || (Number.isInteger(value) && Number(value) >= 0 && Number(value) <= 127);
}
