// @ts-check
/** The two buttons of an item on the music stand that make sound: one gives the starting notes, the other plays the exercise. While one sounds, it says "Stop". */

import { pgettext } from "./words.js";

/** @typedef {"notes" | "key"} Heard the starting notes, or the exercise in one key */

const BUTTONS = { notes: ".hb-stand-give", key: ".hb-stand-hear" };

export class StandButtons {
  constructor() {
    /** The button whose sound is heard, and its label before it said "Stop"; null if nothing sounds. @type {{button: HTMLButtonElement, said: Node[]} | null} */
    this.sounding = null;
  }

  /** Makes a button of the item that is shown say "Stop". @param {Heard} heard */
  begin(heard) {
    this.end();
    const button = document.querySelector(`.hb-stand article:not([hidden]) ${BUTTONS[heard]}`);
    if (!(button instanceof HTMLButtonElement)) return;
    this.sounding = { button, said: [...button.childNodes] };
    button.style.minWidth = `${button.offsetWidth}px`; // so that nothing moves
    button.replaceChildren(pgettext("the player", "Stop"));
    button.setAttribute("aria-pressed", "true");
  }

  /** Gives the button its label back. */
  end() {
    if (!this.sounding) return;
    const { button, said } = this.sounding;
    button.replaceChildren(...said);
    button.removeAttribute("aria-pressed");
    button.style.minWidth = "";
    this.sounding = null;
  }
}
