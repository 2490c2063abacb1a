// @ts-check
/** The rule of a countdown, which goes by the clock: a page that sleeps for a while loses nothing. */

/** Seconds before the end at which those are told who do not see the figures. */
export const SOON = 10;

export class Countdown {
  /** @param {number} seconds */
  constructor(seconds) {
    this.left = 1000 * seconds;
    /** The time in milliseconds since which it runs, null while it is paused. @type {number | null} */
    this.since = null;
  }

  get running() {
    return this.since !== null;
  }

  /** @param {number} now milliseconds by any clock that goes on */
  start(now) {
    this.since ??= now;
  }

  /** @param {number} now */
  pause(now) {
    this.left = this.remaining(now);
    this.since = null;
  }

  /** @param {number} now @returns {number} milliseconds, 0 at the end and after it */
  remaining(now) {
    return Math.max(0, this.left - (this.since === null ? 0 : now - this.since));
  }

  /** @param {number} now @returns {number} whole seconds; 0 is shown only at the end */
  seconds(now) {
    return Math.ceil(this.remaining(now) / 1000);
  }
}

/**
 * Seconds as a clock shows them: 65 is "1:05".
 * @param {number} seconds
 */
export function figures(seconds) {
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

/**
 * What is told between two looks at the clock: that it is soon over, or that it is.
 * @param {number} before whole seconds at the last look
 * @param {number} now whole seconds
 * @returns {"soon" | "over" | ""}
 */
export function due(before, now) {
  if (before > 0 && now === 0) return "over";
  return before > SOON && now <= SOON && now > 0 ? "soon" : "";
}
