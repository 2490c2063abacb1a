// @ts-check
/** Keeps the screen from switching off, if the browser allows it: singers do not touch it for minutes. */
export class WakeLock {
  constructor() {
    this.awake = false;
    /** @type {WakeLockSentinel | null} */
    this.lock = null;
    // A browser releases the lock when the page is hidden, and does not restore it by itself.
    document.addEventListener("visibilitychange", () => void this.hold());
  }

  /** Keeps the screen on, or lets it switch off again. @param {boolean} awake whether it is to stay on */
  keep(awake) {
    this.awake = awake;
    if (awake) void this.hold();
    else {
      void this.lock?.release().catch(() => {});
      this.lock = null;
    }
  }

  /** Requests the lock; a browser may refuse it, or not support it. */
  async hold() {
    if (this.lock?.released) this.lock = null;
    if (!this.awake || document.hidden || this.lock) return;
    const lock = await navigator.wakeLock?.request("screen").catch(() => null);
    if (!lock) return;
    if (this.awake && !this.lock) this.lock = lock;
    else void lock.release().catch(() => {});
  }
}
