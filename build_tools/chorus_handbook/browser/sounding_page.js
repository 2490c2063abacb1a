// @ts-check
/**
 * What a page with sound needs from the browser: an audio context (the browser's sound output, which only
 * a tap of the reader can open), and a channel through which it tells other open pages of the handbook to
 * pause.
 */

import { SoundError } from "./asset_loader.js";
import { gettext } from "./words.js";

const CHANNEL = "handbook-player";
/** How many milliseconds a browser may take to start the sound. Firefox took 1700. */
const PATIENCE_MS = 3000;

export class SoundingPage {
  /**
   * `giveWay` is called when another page begins to sound, `interrupted` when the browser stops the
   * sound by itself.
   * @param {{giveWay: () => void, interrupted: () => void}} then
   */
  constructor({ giveWay, interrupted }) {
    this.interrupted = interrupted;
    /** @type {AudioContext | null} */
    this.context = null;
    this.channel = openChannel();
    this.channel?.addEventListener("message", giveWay);
  }

  /**
   * Opens the context, which a browser allows only while a tap is handled. `running` is rejected if the
   * browser does not start the sound.
   * @returns {{context: AudioContext, running: Promise<void>}}
   */
  open() {
    if (!("AudioContext" in window)) {
      throw new SoundError(gettext("This browser cannot play the exercise: it lacks Web Audio. Use a newer browser."));
    }
    if (!this.context) {
      const session = "audioSession" in navigator ? navigator.audioSession : null;
      if (session) /** @type {{type: string}} */ (session).type = "playback";
      const made = new AudioContext({ latencyHint: "interactive" });
      made.addEventListener("statechange", () => made.state !== "running" && this.interrupted());
      this.context = made;
    }
    const running = this.start(this.context);
    running.catch(() => {}); // the caller reports it; this only avoids an "unhandled rejection"
    return { context: this.context, running };
  }

  /** Waits until the sound runs. Throws SoundError if it does not start in time. @param {AudioContext} context */
  async start(context) {
    const patience = new Promise((done) => setTimeout(done, PATIENCE_MS));
    await Promise.race([context.resume(), patience]);
    if (context.state !== "running") {
      throw new SoundError(gettext("The browser has not let the sound start. Tap again."));
    }
  }

  /** How many seconds after its time by the context's clock a sound is heard. */
  get latency() {
    return this.context?.outputLatency || 0;
  }

  /** Tells the other pages to pause. */
  begins() {
    this.channel?.postMessage("begins");
  }
}

/**
 * Null where a browser has no channels, or, as Firefox does when it may store nothing, refuses them;
 * there several pages can sound at the same time.
 */
function openChannel() {
  try {
    return new BroadcastChannel(CHANNEL);
  } catch {
    return null;
  }
}

/** Whether this is probably a phone or tablet whose silent switch mutes pages. */
export function isLikelySilenced() {
  return /iPhone|iPad|iPod/.test(navigator.userAgent) || (navigator.userAgent.includes("Mac") && navigator.maxTouchPoints > 1);
}
