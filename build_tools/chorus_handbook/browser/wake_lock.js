// @ts-check
/** Keeps the screen awake, since a singer's hands are elsewhere; where a browser allows it. */
export class WakeLock {
  constructor() {
    this.awake = false;
    /** @type {WakeLockSentinel | null} */
    this.lock = null;
    // A browser lets the screen go when the page is hidden, and does not take it back by itself.
    document.addEventListener("visibilitychange", () => void this.hold());
  }

  /** @param {boolean} awake whether the screen is to stay on */
  keep(awake) {
    this.awake = awake;
    if (awake) void this.hold();
    else {
      void this.lock?.release().catch(() => {});
      this.lock = null;
    }
  }

  /** Asks for the screen; a browser may refuse, or know of no such thing. */
  async hold() {
    if (this.lock?.released) this.lock = null;
    if (!this.awake || document.hidden || this.lock) return;
    const lock = await navigator.wakeLock?.request("screen").catch(() => null);
    if (!lock) return;
    if (this.awake && !this.lock) this.lock = lock;
    else void lock.release().catch(() => {});
  }
}
