// @ts-check
/**
 * A countdown that can be paused, for the steps of an exercise and for the music stand. It compares times
 * of a clock instead of counting ticks, so it stays right when the browser suspends the page for a while.
 */

/** How many seconds before the end a screen reader announces that the end is near. */
export const SOON = 10;

export class Countdown {
  /** @param {number} seconds from the start to the end */
  constructor(seconds) {
    this.left = 1000 * seconds;
    /** When it was last started, in milliseconds; null while it is paused. @type {number | null} */
    this.since = null;
  }

  get running() {
    return this.since !== null;
  }

  /** Starts the countdown, or lets it go on. @param {number} now in milliseconds, by any clock that never goes back; the same in all methods */
  start(now) {
    this.since ??= now;
  }

  /** Pauses the countdown. @param {number} now */
  pause(now) {
    this.left = this.remaining(now);
    this.since = null;
  }

  /** The time left in milliseconds: 0 at the end and after it. @param {number} now @returns {number} */
  remaining(now) {
    return Math.max(0, this.left - (this.since === null ? 0 : now - this.since));
  }

  /** The time left in whole seconds, rounded up, so that 0 appears only at the end. @param {number} now @returns {number} */
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
 * What to announce when the time left has changed: that the end is near, that it has come, or nothing.
 * @param {number} before whole seconds left before the change
 * @param {number} now whole seconds left after it
 * @returns {"soon" | "over" | ""}
 */
export function due(before, now) {
  if (before > 0 && now === 0) return "over";
  return before > SOON && now <= SOON && now > 0 ? "soon" : "";
}
