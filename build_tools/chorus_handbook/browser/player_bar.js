// @ts-check
/**
 * The player's bar: a row of controls at the edge of the window that stays in view while an exercise
 * sounds, however far the page is scrolled. It has copies of the player's own controls: a change of one
 * also changes the other.
 */

/** @import { Notes } from "./schedule.js" */

import { gettext, keyName } from "./words.js";

/** How much of the window the theme's header and this bar cover at most, as a negative margin for IntersectionObserver. */
const COVERED = "-48px 0px -64px 0px";

export class PlayerBar {
  /**
   * @param {HTMLElement} box the exercise, with the bar and the player's controls
   * @param {DOMStringMap} exercise its `tempo`, in beats a minute, and how its keys are `named` (`keyName`)
   * @param {{play: () => void, stop: () => void, next: () => void, key: (name: string) => void}} then what to
   *   do when a control is used: play or pause, stop, go to the next key, or to the key of this name
   */
  constructor(box, { tempo, named }, then) {
    this.beats = Number(tempo);
    this.named = named;
    const bar = box.querySelector(".hb-player-bar");
    if (!(bar instanceof HTMLElement)) throw new Error("the player's bar is missing");
    this.bar = bar;
    /** @type {(name: string) => HTMLButtonElement} */
    const button = (name) => {
      const found = bar.querySelector(name);
      if (!(found instanceof HTMLButtonElement)) throw new Error(`${name} is missing`);
      return found;
    };
    this.playButton = button(".hb-bar-play");
    const next = bar.querySelector(".hb-bar-next");
    this.nextButton = next instanceof HTMLButtonElement ? next : null; // null if there is only one key
    this.playButton.addEventListener("click", then.play);
    const stop = button(".hb-stop");
    stop.addEventListener("click", then.stop);
    document.addEventListener("keydown", (event) => {
      const elsewhere = event.target instanceof Element && event.target.closest(".md-search, dialog");
      if (event.key === "Escape" && !event.defaultPrevented && !elsewhere && !stop.disabled) then.stop();
    });
    const more = button(".hb-bar-more");
    more.addEventListener("click", () => {
      const open = bar.classList.toggle("hb-bar-open");
      more.setAttribute("aria-expanded", String(open));
      this.makeRoom();
    });
    const play = box.querySelector(".hb-play");
    const inView = (/** @type {IntersectionObserverEntry[]} */ seen) => bar.classList.toggle("hb-play-in-view", seen.at(-1)?.isIntersecting);
    if (play) new IntersectionObserver(inView, { rootMargin: COVERED }).observe(play);
    this.nextButton?.addEventListener("click", then.next);
    const keys = bar.querySelector("[name=bar-key]");
    this.keys = keys instanceof HTMLSelectElement ? keys : null;
    this.keys?.addEventListener("change", () => then.key(this.keys?.value ?? ""));
    /** @type {[HTMLSelectElement, HTMLSelectElement | HTMLInputElement][]} */
    this.pairs = [];
    for (const choice of /** @type {NodeListOf<HTMLSelectElement>} */ (bar.querySelectorAll("[data-for]"))) {
      const source = box.querySelector(`[name="${choice.dataset.for}"]`);
      if (source instanceof HTMLSelectElement) choice.append(...source.cloneNode(true).childNodes);
      else if (source instanceof HTMLInputElement) choice.append(...this.tempos(source));
      else continue;
      this.pairs.push([choice, source]);
      choice.addEventListener("input", () => { // comes before "change", which would refresh the choice
        source.value = choice.value;
        source.dispatchEvent(new Event(source instanceof HTMLSelectElement ? "change" : "input", { bubbles: true }));
      });
    }
    for (const kind of ["change", "input", "click"]) box.addEventListener(kind, () => this.refresh());
  }

  /** The options for tempo, one for each stop of the player's slider, in beats a minute. @param {HTMLInputElement} slider in percent of the exercise's own tempo */
  tempos(slider) {
    const [from, to, step] = [slider.min, slider.max, slider.step].map(Number);
    return Array.from({ length: (to - from) / step + 1 }, (_, place) => {
      const percent = from + place * step;
      return new Option(String(Math.round((this.beats * percent) / 100)), String(percent));
    });
  }

  /** Shows the choices as the player's own controls have them. */
  refresh() {
    for (const [choice, source] of this.pairs) choice.value = source.value;
  }

  /**
   * Opens the bar, or shows what has changed.
   * @param {string} word the text of the play button
   * @param {Notes} notes
   * @param {number} key the index of the key that sounds
   */
  show(word, notes, key) {
    this.playButton.textContent = word;
    if (this.keys && !this.keys.length) {
      for (const name of new Set(notes.keys.map((one) => one.key))) this.keys.add(new Option(keyName(name, this.named), name));
    }
    if (this.keys) this.keys.value = notes.keys[key].key;
    const next = notes.keys[key + 1];
    if (this.nextButton) {
      this.nextButton.disabled = !next;
      this.nextButton.textContent = next
        ? gettext("Next key: {key}", { key: keyName(next.key, this.named) })
        : gettext("Last key");
    }
    this.refresh();
    this.bar.hidden = false;
    this.makeRoom();
  }

  /** Keeps the bar from covering the end of the page. */
  makeRoom() {
    document.body.style.paddingBlockEnd = `${this.bar.offsetHeight}px`;
  }

  /** Closes the bar. @returns {boolean} whether the focus was in it */
  hide() {
    const focused = this.bar.contains(document.activeElement);
    this.bar.hidden = true;
    document.body.style.paddingBlockEnd = "";
    return focused;
  }
}
