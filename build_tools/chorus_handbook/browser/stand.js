// @ts-check
/**
 * The music stand: a full-screen dialog from which a warm-up is led, one item at a time, by taps or from the
 * keyboard alone. The arrow keys, which page-turning pedals send, go through the steps of an item and on to
 * the next item. They never change the musical key, because the leader decides while the choir sings how
 * far up an exercise goes. The last screen is the log, where the leader enters what was sung.
 */

import { PlayThrough } from "./play_through.js";
import { highest, whichKey } from "./stand_keys.js";
import { StandLog } from "./stand_log.js";
import { goOnFrom, storedPlace } from "./stand_place.js";
import { sayKey, sayStep, showPlace } from "./stand_said.js";
import { StandScores } from "./stand_scores.js";
import { StandSound } from "./stand_sound.js";
import { WakeLock } from "./wake_lock.js";
import { gettext, pgettext } from "./words.js";

const MINUTE_MS = 60_000;
/** How long the run-through (a quick look at every item before a warm-up) shows an item without notes, for reading. */
const READING_MS = 6000;
const FORWARD = new Set(["ArrowRight", "ArrowDown", "PageDown"]);
const BACK = new Set(["ArrowLeft", "ArrowUp", "PageUp"]);

/** @import { Key } from "./stand_keys.js" */

export class Stand {
  /** @param {HTMLDialogElement} dialog */
  constructor(dialog) {
    this.dialog = dialog;
    this.items = [...dialog.querySelectorAll("article")];
    this.place = 0;
    this.step = 0;
    /** For each item, the place of the key that is shown, from 0. */
    this.keys = this.items.map(() => 0);
    /** When the stand was opened, as `Date.now` counts. */
    this.began = 0;
    /** Counts taps and keys; any of them ends the run-through. */
    this.running = 0;
    /** Plays the routine by itself; null when it is not playing. @type {PlayThrough | null} */
    this.through = null;
    const { instrument = "", minutes = "", plan = "", tonight = "" } = dialog.dataset;
    this.minutes = Number(minutes);
    this.screen = new WakeLock();
    this.sound = new StandSound(instrument, (message) => this.tell(message));
    this.scores = new StandScores();
    const handbook = new URL("../../", new URL(instrument, location.href)).pathname;
    this.stored = storedPlace(handbook, [plan, tonight].filter(Boolean).join(" "));
    this.log = new StandLog(dialog, (message) => this.tell(message));
    dialog.addEventListener("click", (event) => this.click(event));
    // Not of the dialog: a button that is hidden or disabled by its own tap leaves the focus outside.
    document.addEventListener("keydown", (event) => dialog.open && this.key(event));
    dialog.addEventListener("change", () => this.log.record(true));
    dialog.addEventListener("close", () => this.closed());
  }

  /** Opens the stand. @param {"" | "notice" | "through"} [view] "notice": the run-through, which shows less of each item; "through": a routine that plays by itself */
  open(view = "") {
    for (const one of ["notice", "through"]) this.dialog.classList.toggle(`hb-${one}`, one === view);
    const counts = this.items.map(({ dataset }) => keysOf(dataset).length);
    const last = view ? null : goOnFrom(this.stored.read(), counts, this.minutes, Date.now());
    this.keys = last?.keys ?? counts.map(() => 0);
    this.began = last?.began ?? Date.now();
    this.log.recall();
    this.dialog.showModal();
    this.screen.keep(true);
    this.sound.fetchAll(this.items.flatMap(({ dataset }) => (dataset.notes ? [dataset.notes] : [])));
    this.scores.fetchAll(this.items.flatMap(({ dataset }) => (dataset.score ? [dataset.score] : [])));
    this.show(last?.place ?? 0);
    if (last) this.mark(last.step);
    this.timer = window.setInterval(() => this.tellTime(), MINUTE_MS / 4);
  }

  /** Opens the stand at its log. */
  openLog() {
    this.open();
    this.show(this.items.length - 1);
  }

  closed() {
    this.running += 1;
    this.through?.end();
    this.through = null;
    this.sound.stop();
    this.screen.keep(false);
    window.clearInterval(this.timer);
  }

  /** The keys of the item that is shown. @returns {Key[]} */
  get itemKeys() {
    return keysOf(this.item.dataset);
  }

  get item() {
    return this.items[this.place];
  }

  get notice() {
    return this.dialog.classList.contains("hb-notice");
  }

  get steps() {
    return this.notice ? [] : [...this.item.querySelectorAll(".hb-stand-steps li")];
  }

  /** Shows an item, with its first step marked. @param {number} place from 0 */
  show(place) {
    this.item.querySelector(".hb-stand-drawing")?.replaceChildren();
    this.sound.stop();
    this.place = place;
    for (const [number, item] of this.items.entries()) item.hidden = number !== place;
    this.showKey();
    this.tell("");
    this.tellTime();
    showPlace(this.dialog, this.items, place);
    this.mark(0);
    const atLog = this.item.classList.contains("hb-stand-log");
    this.dialog.classList.toggle("hb-at-log", atLog);
    this.dialog.classList.toggle("hb-sounds", this.item.querySelector(".hb-stand-give") !== null);
    if (atLog) this.log.record(true);
  }

  /** Marks a step of the item as the current one. @param {number} step from 0 */
  mark(step) {
    this.step = step;
    for (const [number, one] of this.steps.entries()) {
      if (number === step) one.setAttribute("aria-current", "step");
      else one.removeAttribute("aria-current");
    }
    if (step > 0) this.steps[step]?.scrollIntoView({ block: "nearest" });
    else this.dialog.scrollTo(0, 0); // with what to take care of
    sayStep(this.dialog, this.item, this.steps, step);
    this.showTurns();
    this.remember();
  }

  /** Stores the place; not in the other two views, which always begin at the first item. */
  remember() {
    const { began, place, step, keys } = this;
    if (this.dialog.matches("[open]:not(.hb-notice, .hb-through)")) this.stored.save({ began, place, step, keys });
  }

  /** Whether this is the last screen; in the run-through, which has no log, the last item. */
  get atEnd() {
    const next = this.items[this.place + 1];
    return this.notice ? !next?.dataset.keys : !next;
  }

  /** Labels the buttons that go forward and back. */
  showTurns() {
    const on = this.dialog.querySelector(".hb-stand-on");
    if (on) on.textContent = this.atEnd ? gettext("Finish") : pgettext("the next item", "Next");
    const back = this.dialog.querySelector(".hb-stand-back");
    if (back instanceof HTMLButtonElement) back.disabled = this.place === 0 && this.step <= 0 && !this.dialog.matches(".hb-through");
  }

  /** Closes the stand, which then opens at the first item again. */
  finish() {
    if (!this.dialog.matches(".hb-notice, .hb-through")) this.stored.clear();
    this.dialog.close();
  }

  /** Goes to the next step or, after the last, to the next item. */
  forward() {
    if (this.step + 1 < this.steps.length) this.mark(this.step + 1);
    else if (this.notice && this.atEnd) this.dialog.close();
    else if (this.place + 1 < this.items.length) this.show(this.place + 1);
  }

  /** Goes to the step before or, from the first, to the last step of the item before. */
  back() {
    if (this.step > 0) this.mark(this.step - 1);
    else if (this.place > 0) {
      this.show(this.place - 1);
      this.mark(Math.max(0, this.steps.length - 1));
    }
  }

  /** Shows the key of the item, its starting notes and its score. */
  showKey() {
    const key = this.itemKeys[this.keys[this.place]];
    const name = this.item.querySelector(".hb-stand-name");
    const starts = this.item.querySelector(".hb-stand-notes");
    const which = this.item.querySelector(".hb-stand-which");
    if (key && name && starts) [name.textContent, starts.textContent] = [key.name, key.starts];
    if (which) which.textContent = whichKey(this.itemKeys, this.keys[this.place]);
    if (this.item.querySelector(".hb-stand-drawing")?.childNodes.length) void this.drawScore();
    const next = this.item.querySelector(".hb-stand-next-key");
    if (!(next instanceof HTMLButtonElement)) return;
    next.disabled = this.keys[this.place] + 1 >= this.itemKeys.length;
    next.textContent = next.disabled ? gettext("Last key") : gettext("Next key");
  }

  give() {
    const key = this.itemKeys[this.keys[this.place]];
    if (key) void this.sound.give(key.notes);
  }

  /** Goes to the next key, notes in the log that it was reached, and sounds its starting notes. */
  nextKey() {
    if (this.notice || this.keys[this.place] + 1 >= this.itemKeys.length) return;
    this.keys[this.place] += 1;
    this.showKey();
    sayKey(this.dialog, this.itemKeys[this.keys[this.place]]);
    const row = this.log.rows[Number(this.item.dataset.row ?? this.place)]?.querySelector("[name=top]");
    if (row instanceof HTMLSelectElement) row.value = highest(this.itemKeys, this.keys[this.place]).tonic;
    this.log.record();
    this.remember();
    this.give();
  }

  /** Plays the item in some of its keys, or in the one that is shown; the key that sounds is shown. @param {string[]} [tonics] @returns {Promise<boolean>} whether it was heard to its end */
  hear(tonics) {
    const shown = this.itemKeys[this.keys[this.place]]?.tonic;
    const wanted = tonics ?? (shown ? [shown] : []);
    const { notes, absent = "" } = this.item.dataset;
    if (!notes || !wanted.length) return Promise.resolve(false);
    return this.sound.hear(notes, wanted, absent.split(" "), (tonic) => this.showTonic(tonic));
  }

  /** Shows a key of the item, unless it is shown. @param {string} tonic */
  showTonic(tonic) {
    const place = this.itemKeys.findIndex((key) => key.tonic === tonic);
    if (place < 0 || place === this.keys[this.place]) return;
    this.keys[this.place] = place;
    this.showKey();
  }

  /** Plays the routine by itself. */
  playThrough() {
    this.open("through");
    this.through = new PlayThrough(this);
  }

  /** What taps and keys for forward and back are to move: the routine that plays by itself, or else the stand. @returns {{forward: () => void, back: () => void}} */
  get turning() {
    return this.through ?? this;
  }

  /** Shows every item once and plays it in its first key. Any tap on a button, or any key, ends it. */
  async runThrough() {
    this.open("notice");
    this.running += 1;
    const run = this.running;
    for (const [place, item] of this.items.entries()) {
      if (!item.dataset.keys) break;
      this.show(place);
      const heard = item.dataset.notes && this.itemKeys.length;
      await (heard ? this.hear() : new Promise((done) => setTimeout(done, READING_MS)));
      if (run !== this.running) return;
    }
    this.show(0);
  }

  /** Does what the button that was tapped is for. @param {MouseEvent} event */
  click(event) {
    const button = event.target instanceof Element ? event.target.closest("button") : null;
    if (!button) return;
    this.running += 1;
    if (button.matches(".hb-stand-on") && this.atEnd) this.finish();
    else if (button.matches(".hb-stand-on")) this.turning.forward();
    else if (button.matches(".hb-stand-back")) this.turning.back();
    else if (button.matches(".hb-through-pause")) this.through?.toggle();
    else if (button.matches(".hb-stand-close")) this.dialog.close();
    else if (button.matches(".hb-stand-dark")) this.dark(button);
    else if (button === this.sound.buttons.sounding?.button) this.sound.stop();
    else if (button.matches(".hb-stand-give")) this.give();
    else if (button.matches(".hb-stand-next-key")) this.nextKey();
    else if (button.matches(".hb-stand-hear")) void this.hear();
    else if (button.matches(".hb-stand-score")) void this.score();
    else if (button.matches(".hb-stand-seat")) this.item.querySelector(".hb-stand-seated")?.toggleAttribute("hidden");
    else if (button.dataset.became) this.log.tap(button);
    else if (button.matches(".hb-stand-save")) this.log.save();
    else if (button.matches(".hb-stand-copy")) void this.log.copy();
  }

  /** Does what a key of the keyboard is for. @param {KeyboardEvent} event */
  key(event) {
    const { target, key } = event;
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (target instanceof HTMLSelectElement || target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement) return;
    const letters = { Home: () => this.show(0), g: () => this.give(), k: () => this.nextKey(), h: () => void this.hear(), s: () => void this.score() };
    const turns = FORWARD.has(key) ? () => this.turning.forward() : BACK.has(key) ? () => this.turning.back() : null;
    const act = turns ?? (this.through ? null : Reflect.get(letters, key));
    if (!act) return;
    event.preventDefault();
    this.running += 1;
    act();
  }

  /** @param {HTMLButtonElement} button */
  dark(button) {
    const dark = this.dialog.classList.toggle("hb-in-the-dark");
    button.setAttribute("aria-pressed", String(dark));
  }

  /** Shows or hides the score of the item in the key that is sung. */
  async score() {
    const drawing = this.item.querySelector(".hb-stand-drawing");
    if (drawing?.childNodes.length) drawing.replaceChildren();
    else {
      await this.drawScore();
      drawing?.scrollIntoView({ block: "nearest" });
    }
  }

  async drawScore() {
    const { item } = this;
    const drawing = item.querySelector(".hb-stand-drawing");
    const key = this.itemKeys[this.keys[this.place]]?.tonic ?? "";
    if (!drawing || !item.dataset.score) return;
    try {
      const figure = await this.scores.score(item.dataset.score, key);
      const still = item === this.item && key === (this.itemKeys[this.keys[this.place]]?.tonic ?? "");
      if (still) drawing.replaceChildren(figure);
    } catch (reason) {
      this.tell(reason instanceof Error ? reason.message : String(reason));
    }
  }

  tellTime() {
    const left = this.dialog.querySelector(".hb-stand-left");
    if (!left || !this.minutes) return;
    const minutes = Math.max(0, Math.ceil(this.minutes - (Date.now() - this.began) / MINUTE_MS));
    left.textContent = gettext("{n} min left", { n: minutes });
  }

  /** @param {string} message */
  tell(message) {
    const status = this.dialog.querySelector(".hb-stand-status");
    if (status) status.textContent = message;
  }
}

/** The keys of an item, in the order in which they are sung. @param {DOMStringMap} dataset @returns {Key[]} */
function keysOf({ keys }) {
  return keys ? JSON.parse(keys) : [];
}
