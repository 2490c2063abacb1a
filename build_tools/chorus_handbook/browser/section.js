// @ts-check
/**
 * Lets a singer practise only some bars of an exercise, or its phrases one by one, with a gap after each
 * in which to repeat it (`echo.js`). What was chosen becomes a `Notes` object, like that of a whole
 * exercise, so that the player plays it in the same way. Practice tracks always have the whole exercise.
 */

import { withGaps } from "./echo.js";

/** @import { Note, Notes } from "./schedule.js" */

/**
 * The number, from 0, of the bar that contains a tick. Bars are counted in the order in which they are sung.
 * @param {Notes} notes
 * @param {number} tick
 */
export function barAt({ bars = [0] }, tick) {
  return Math.max(0, bars.filter((start) => start <= tick).length - 1);
}

/**
 * The notes from one bar to another, both included and in either order.
 * @param {Notes} notes
 * @param {number} one a bar, from 0
 * @param {number} other another, or the same
 * @param {boolean} withRest whether a bar of silence follows them
 * @returns {Notes}
 */
export function section(notes, one, other, withRest) {
  const { bars = [0], length } = notes;
  const [first, last] = [Math.min(one, other), Math.max(one, other)];
  const [from, to] = [bars[first] ?? 0, bars[last + 1] ?? length];
  const rest = withRest ? Math.round(notes.bar * notes.ticks_per_beat) || (bars[first + 1] ?? length) - from : 0;
  if (from === 0 && to === length && !rest) return notes;
  return {
    ...notes,
    length: to - from + rest,
    bars: bars.filter((start) => start >= from && start < to).map((start) => start - from),
    ...(from > 0 && { pickup: 0, count_in: notes.count_in + notes.pickup }), // without the pickup, the count-in is whole bars again
    chords: (notes.chords ?? []).filter(([at]) => at >= from && at < to).map(([at, lasts]) => [at - from, lasts]),
    voices: notes.voices.map((voice) => {
      const kept = voice.notes.filter((note) => note.at < to && note.at + note.length > from);
      return { ...voice, notes: kept.map((note, place) => cut(note, from, to, place === 0)) };
    }),
  };
}

/**
 * The part of a note that lies between two ticks.
 * @param {Note} note
 * @param {number} from
 * @param {number} to
 * @param {boolean} first whether it is the first one, so that no glide leads into it
 * @returns {Note}
 */
function cut(note, from, to, first) {
  const before = Math.max(0, from - note.at);
  const length = Math.min(note.at + note.length, to) - note.at - before;
  /** @type {Note} */
  const part = { ...note, at: note.at + before - from, length };
  if (first) delete part.joined;
  if (before) delete part.graces;
  if (note.glide) part.glide = [Math.max(0, note.glide[0] - before), note.glide[1]];
  if (note.at + note.length > to) delete part.glide; // its end is beyond the last bar
  if (note.swell) part.swell = note.swell.map(([tick, level]) => [Math.max(0, tick - before), level]);
  return part;
}

/** The choice of bars in the player, and whether they are practised as an echo. */
export class BarChoice {
  /**
   * @param {HTMLElement} box the exercise, with the player's controls
   * @param {string | null} echoed the part whose phrases are followed by gaps; null for none
   * @param {() => void} changed called when the reader has chosen other bars
   */
  constructor(box, echoed, changed) {
    this.echoed = echoed;
    this.panel = box.querySelector(".hb-bars");
    const [from, to, rest] = ["from-bar", "to-bar", "rest-between"].map((name) => box.querySelector(`[name=${name}]`));
    this.from = from instanceof HTMLSelectElement ? from : null;
    this.to = to instanceof HTMLSelectElement ? to : null;
    this.rest = rest instanceof HTMLInputElement ? rest : null;
    const mode = box.querySelector("[name=play-mode]");
    this.mode = mode instanceof HTMLSelectElement ? mode : null;
    /** The play mode to return to when all bars are played; null once the reader has chosen one. */
    this.modeForAll = this.mode?.value ?? null;
    this.mode?.addEventListener("change", () => (this.modeForAll = null));
    for (const control of [from, to, rest]) {
      control?.addEventListener("change", () => {
        this.putInOrder();
        this.repeat();
        changed();
      });
    }
  }

  /** Offers the bars of the exercise by their numbers; a pickup is bar 0. @param {Notes} notes */
  fill({ bars = [], pickup }) {
    if (!this.from || !this.to || this.from.length || bars.length < 2) return;
    for (const bar of bars.keys()) {
      const number = String(bar + (pickup ? 0 : 1));
      this.from.add(new Option(number));
      this.to.add(new Option(number));
    }
    this.to.selectedIndex = bars.length - 1;
    this.panel?.removeAttribute("hidden");
  }

  /** Exchanges the first and the last bar if they are in the wrong order. */
  putInOrder() {
    if (!this.from || !this.to || this.from.selectedIndex <= this.to.selectedIndex) return;
    [this.from.selectedIndex, this.to.selectedIndex] = [this.to.selectedIndex, this.from.selectedIndex];
  }

  /** Sets the play mode that suits the bars: only some bars are repeated in one key; with all bars, the mode is again what it was before. If the reader has chosen a mode, that stays. */
  repeat() {
    if (!this.mode || this.modeForAll === null) return;
    this.mode.value = this.chosen ? "loop" : this.modeForAll;
  }

  /** The first and last bar that are chosen, counted from 0; null for all. @returns {[number, number] | null} */
  get chosen() {
    if (!this.from?.length || !this.to) return null;
    const [first, last] = [this.from.selectedIndex, this.to.selectedIndex];
    return first > 0 || last < this.to.length - 1 ? [first, last] : null;
  }

  /** The notes to be played. @param {Notes} notes @returns {Notes} the bars that are chosen, with the gaps of an echo */
  of(notes) {
    const { from, to, rest } = this;
    const bars = from?.length && to ? section(notes, from.selectedIndex, to.selectedIndex, rest?.checked ?? false) : notes;
    return this.echoed === null ? bars : withGaps(bars, this.echoed);
  }
}
