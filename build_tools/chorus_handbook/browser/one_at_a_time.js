// @ts-check
/** Two pages of the handbook that sound at once help nobody: when one begins, the others pause. */

const CHANNEL = "handbook-player";

export class OneAtATime {
  /** @param {() => void} giveWay called when another player begins */
  constructor(giveWay) {
    /** Browsers without channels let all sound. */
    this.channel = "BroadcastChannel" in window ? new BroadcastChannel(CHANNEL) : null;
    this.channel?.addEventListener("message", giveWay);
  }

  /** Tells the others that this one begins. */
  begins() {
    this.channel?.postMessage("begins");
  }
}
