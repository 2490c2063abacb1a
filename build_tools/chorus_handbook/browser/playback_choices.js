// @ts-check
/**
 * The reader's choices in the player, except the key: their own part, what is heard of it, tempo and
 * tuning. They are stored in this browser, so that other exercises sound the same way.
 */

import { connectVoiceRows, Mix } from "./mix.js";
import { practiceOf } from "./practice.js";
import { DEFAULT_PLAYBACK, PART_EVENT, storedPlayback, storedRange, withPart } from "./stored_choices.js";
import { gettext, ngettext } from "./words.js";

/** @import { QuickChoice } from "./mix.js" */
/** @import { StoredPlayback } from "./stored_choices.js" */

export class PlaybackChoices {
  /**
   * @param {HTMLElement} box the exercise, with the player's controls
   * @param {number} beats the exercise's own tempo, in beats a minute
   * @param {string} handbook the address of the handbook
   * @param {{mixed: () => void, tempo: () => void, tuned: () => void, startingNote: (voice: string) => void}} then
   *   what to do when the loudness of voices, the tempo or the tuning has changed, and when the starting
   *   note of a voice is asked for
   */
  constructor(box, beats, handbook, then) {
    this.box = box;
    this.beats = beats;
    /** @type {HTMLSelectElement | null} */
    this.part = box.querySelector("select[name=part]");
    /** @type {HTMLSelectElement | null} */
    this.quick = box.querySelector("select[name=mix]");
    const tempo = box.querySelector("input[name=tempo]");
    if (!(tempo instanceof HTMLInputElement)) throw new Error("the tempo is missing");
    this.slider = tempo;
    const rows = /** @type {HTMLElement[]} */ ([...box.querySelectorAll("[data-voice]")]);
    this.mix = new Mix(rows.map((row) => row.dataset.voice ?? ""));
    this.showRoles = connectVoiceRows(box, this.mix, {
      startingNote: then.startingNote,
      changed: () => {
        this.readRoles();
        then.mixed();
      },
    });
    this.store = storedPlayback(handbook);
    this.restore(storedRange(handbook).read()?.voice ?? null);

    this.slider.addEventListener("input", () => {
      this.showTempo();
      this.save({ tempo: Number(this.slider.value) });
      then.tempo();
    });
    for (const choice of box.querySelectorAll("[name=tuning]")) {
      choice.addEventListener("change", () => {
        this.save({ just: this.just });
        then.tuned();
      });
    }
    const chosen = () => {
      this.applyQuickChoice();
      if (this.quick?.value !== "own") this.saveMix();
      then.mixed();
    };
    this.part?.addEventListener("change", () => {
      this.showMix(withPart(this.store.read(), this.part?.value ?? "").mix);
      chosen();
    });
    this.quick?.addEventListener("change", chosen);
    document.addEventListener(PART_EVENT, (event) => {
      if (!(event instanceof CustomEvent) || !this.choosePart(event.detail.part)) return;
      this.showMix(this.store.read()?.mix ?? "all");
      this.applyQuickChoice();
      then.mixed();
    });
  }

  /** The tempo, as a factor of the exercise's own. */
  get tempo() {
    return Number(this.slider.value) / 100;
  }

  /** Whether the tuning is just rather than equal. */
  get just() {
    return this.box.querySelector("[name=tuning]:checked")?.getAttribute("value") === "just";
  }

  /** The part that is practised as an echo ("" if there is only one part); null if none is. */
  get echoed() {
    return this.quick?.value === "echo" ? (this.part?.value ?? "") : null;
  }

  /**
   * Sets the controls to what is stored, or to what the address asks for.
   * @param {string | null} rangeVoice the voice of the singer's own range, used if no part is stored
   */
  restore(rangeVoice) {
    const stored = this.store.read();
    if (stored) {
      this.slider.value = String(stored.tempo); // the slider limits and rounds it
      const tuning = this.box.querySelector(`[name=tuning][value=${stored.just ? "just" : "equal"}]`);
      if (tuning instanceof HTMLInputElement) tuning.checked = true;
    }
    const fromAddress = practiceOf(location.search);
    const hasPart = [fromAddress?.part, stored?.part, rangeVoice].some((part) => part && this.choosePart(part));
    // Without the requested part, a choice about it would apply to another part: all voices are heard.
    const mix = hasPart || !this.part ? fromAddress?.mix ?? stored?.mix : fromAddress?.part ? null : fromAddress?.mix;
    this.showMix(mix ?? "all");
    const status = this.box.querySelector(".hb-player-status");
    if (status && !hasPart && !fromAddress?.part && this.part && mix !== "all" && fromAddress) {
      this.showMix("all");
      status.textContent = gettext("Which part is yours? Tap it after “Hear only”.");
    }
    this.applyQuickChoice();
    this.showTempo();
  }

  /**
   * Makes a part the reader's own.
   * @param {string} part its name
   * @returns {boolean} whether this exercise has it
   */
  choosePart(part) {
    const known = this.part && [...this.part.options].some(({ value }) => value === part);
    if (this.part && known) this.part.value = part;
    return Boolean(known);
  }

  /** Shows a quick choice, unless this exercise lacks it. @param {QuickChoice} mix */
  showMix(mix) {
    if (this.quick && [...this.quick.options].some(({ value }) => value === mix)) this.quick.value = mix;
  }

  /** Shows the score in bass clef to those whose part reads it. */
  showClef() {
    const figure = this.box.querySelector("[data-bass]");
    if (!(figure instanceof HTMLElement) || !this.part) return;
    const bass = figure.dataset.bass?.split(" ").includes(this.part.value);
    figure.dataset.clef = bass ? "bass" : "treble";
  }

  /** Gives the voices the roles that the quick choice means. */
  applyQuickChoice() {
    this.showClef();
    if (!this.part || !this.quick || this.quick.value === "own") return;
    this.mix.choose(this.part.value, /** @type {QuickChoice} */ (this.quick.value));
    this.showRoles();
  }

  /** Shows in the quick choice what the rows of the voices have been set to. */
  readRoles() {
    const found = this.mix.chosen();
    if (!this.part || !this.quick) return;
    if (found?.part) this.part.value = found.part;
    this.showClef();
    this.quick.value = found?.choice ?? "own";
    if (found) this.saveMix();
  }

  /** Stores the part and the quick choice. */
  saveMix() {
    if (!this.part || !this.quick) return; // with a single part there is no quick choice to show
    this.save({ part: this.part.value, mix: /** @type {QuickChoice} */ (this.quick.value) });
  }

  /** Stores choices. @param {Partial<StoredPlayback>} change those that have changed; others stay as they were */
  save(change) {
    this.store.save({ ...(this.store.read() ?? DEFAULT_PLAYBACK), ...change });
  }

  /** Shows the tempo in beats a minute. */
  showTempo() {
    const beats = Math.round(this.beats * this.tempo);
    const shown = this.box.querySelector(".hb-tempo-value");
    if (shown) shown.textContent = ngettext("{n} beat a minute", "{n} beats a minute", beats);
    const percent = { percent: this.slider.value };
    this.slider.setAttribute(
      "aria-valuetext",
      ngettext("{n} beat a minute, {percent} percent", "{n} beats a minute, {percent} percent", beats, percent),
    );
  }
}
