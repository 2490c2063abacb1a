// @ts-check
/**
 * A singer's own range as this browser keeps it: nowhere else, and only for the handbook it was
 * set in. Where the browser keeps nothing, it holds as long as the page.
 */

/** @import { OwnRange } from "./own_compass.js" */

/**
 * What is kept: the range, and whether lists show only what fits it.
 * @typedef {OwnRange & { only_fitting: boolean }} Kept
 */

/** Rises when what is kept changes its meaning; anything older is then as if not set. */
const VERSION = 1;

/** One handbook's place in this browser's storage. */
export class KeptRange {
  /** @param {string} handbook the address of the handbook, since several may share an origin */
  constructor(handbook) {
    this.name = `chorus-handbook own-range ${handbook}`;
    /** @type {Kept | null} */
    this.forThisPage = null;
    /** Whether the browser keeps what is set beyond this page. */
    this.lasting = true;
  }

  /** @returns {Kept | null} null when nothing (or nothing of use) is kept */
  read() {
    if (!this.lasting) return this.forThisPage;
    try {
      return understood(localStorage.getItem(this.name));
    } catch {
      return this.forThisPage; // storage is blocked
    }
  }

  /** @param {Kept} kept */
  keep(kept) {
    this.forThisPage = kept;
    try {
      localStorage.setItem(this.name, JSON.stringify({ version: VERSION, ...kept }));
      this.lasting = true;
    } catch {
      this.lasting = false; // blocked or full
    }
  }

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
 * What a text from storage says, which anything may have written there.
 * @param {string | null} text
 * @returns {Kept | null}
 */
function understood(text) {
  /** @type {unknown} */
  let found;
  try {
    found = JSON.parse(text ?? "null");
  } catch {
    return null;
  }
  if (typeof found !== "object" || found === null) return null;
  const { version, voice, lowest, highest, only_fitting } =
    /** @type {Record<string, unknown>} */ (found);
  if (version !== VERSION || !(voice === null || typeof voice === "string")) return null;
  if (!isNoteOrNull(lowest) || !isNoteOrNull(highest)) return null;
  return { voice, lowest, highest, only_fitting: only_fitting === true };
}

/**
 * @param {unknown} value
 * @returns {value is number | null}
 */
function isNoteOrNull(value) {
  return value === null || (Number.isInteger(value) && Number(value) >= 0 && Number(value) <= 127);
}
