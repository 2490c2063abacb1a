// @ts-check
/**
 * Marks in the score which notes sound, and keeps them in view.
 *
 * The page is scrolled only when these notes leave the part of it that is visible, and no longer once the
 * reader has scrolled elsewhere.
 */

import { barAt } from "./section.js";

/** @import { Event, Note, Notes } from "./schedule.js" */

/** For this long after a press, the page is not scrolled, so that the pressed control stays in place. */
const PRESSED_MS = 2000;
/** How long our own scrolling takes, smooth or at once; meanwhile it is not taken for the reader's. */
const SMOOTH_MS = 1000;
const AT_ONCE_MS = 100;

export class Follower {
  /**
   * @param {HTMLElement} figure the score
   * @param {Notes} notes of the exercise
   */
  constructor(figure, notes) {
    this.figure = figure;
    /** By the id of a note or grace note, the id under which it is drawn. @type {Map<string, string>} */
    this.drawn = new Map(notes.voices.flatMap((voice) => voice.notes.flatMap(drawnAs)));
    this.bases = new Set(this.drawn.values());
    /** The first and last bar of each note. @type {Map<string, [number, number]>} */
    this.spans = new Map(
      notes.voices.flatMap((voice) => voice.notes.map(({ id, at, length }) => [id, [barAt(notes, at), barAt(notes, at + length - 1)]])),
    );
    /** The first and last bar that are practised; null for all. @type {[number, number] | null} */
    this.bars = null;
    /** The marked elements, each with the class that marks it. @type {Map<Element, string>} */
    this.shown = new Map();
    /** Whether the page is scrolled to the notes: false after the reader has scrolled elsewhere. */
    this.inView = true;
    /** Times (`performance.now`): until when our own scrolling lasts, and when a control was pressed. */
    this.scrollsUntil = -Infinity;
    this.pressedAt = -Infinity;
    for (const kind of ["click", "input"]) addEventListener(kind, (event) => this.pressed(event), { capture: true });
    addEventListener("scroll", () => this.lookedElsewhere(), { passive: true });
    for (const kind of ["wheel", "touchmove", "keydown"]) {
      addEventListener(kind, (event) => this.takenInHand(event), { passive: true });
    }
  }

  /**
   * Marks the notes that sound. If exactly one voice is silent, its notes are marked too, in another way
   * (`hb-due`): it is probably the part of the reader, who sings along with the others. Notes of level 0,
   * which the reader sings as the answer of an echo, are marked in that way too.
   * @param {Event[]} due the events that sound now
   * @param {Map<string, number>} levels of the voices, 0 for those that are silent
   */
  show(due, levels) {
    const leftOut = [...levels.values()].filter((level) => level <= 0).length;
    /** @type {Map<Element, string>} */
    const wanted = new Map();
    for (const { id, voice, level } of due) {
      if (id === null || voice === null) continue;
      const heard = (levels.get(voice) ?? 1) > 0 && level > 0;
      if (!heard && leftOut > 1 && level > 0) continue;
      for (const parts of this.drawings(this.drawn.get(id) ?? id)) {
        for (const element of this.practised(id, parts)) {
          if (heard || !wanted.has(element)) wanted.set(element, heard ? "hb-sounding" : "hb-due");
        }
      }
    }
    for (const [element, name] of this.shown) {
      if (wanted.get(element) !== name) element.classList.remove(name);
    }
    const fresh = [...wanted].some(([element, name]) => this.shown.get(element) !== name);
    for (const [element, name] of wanted) element.classList.add(name);
    this.shown = wanted;
    if (fresh) this.keepInView();
  }

  /** Removes all marks, and follows the notes again even if the reader has scrolled elsewhere. */
  clear() {
    this.show([], new Map());
    this.inView = true;
  }

  /**
   * The elements of a note in each drawing: several if it is written as tied notes.
   * @param {string} base the id under which it is drawn
   * @returns {Element[][]} one list for each drawing
   */
  drawings(base) {
    // The suffixes of ids in the wide drawing, the narrow one, and the same two in bass clef.
    return ["", ".n", ".b", ".b.n"].map((end) => {
      /** @type {Element[]} */
      const found = [];
      for (let part = 1; ; part += 1) {
        const tied = part === 1 ? base : `${base}-${part}`;
        const id = part > 1 && this.bases.has(tied) ? `${tied}-tied` : tied;
        const element = this.figure.querySelector(`[id="${CSS.escape(id + end)}"]`);
        if (!element) break;
        found.push(element);
      }
      return found;
    });
  }

  /**
   * The elements of a note that are within the bars that are practised.
   * @param {string} id of the note
   * @param {Element[]} parts all its elements in one drawing: several if it is written as tied notes
   */
  practised(id, parts) {
    const span = this.spans.get(id);
    if (!this.bars || !span || parts.length < 2) return parts;
    const [[from, to], [first, last]] = [this.bars, span];
    // If there are as many parts as bars, there is one in each. Otherwise only the bars of the first and the last are certain.
    if (parts.length === last - first + 1) return parts.filter((_, place) => first + place >= from && first + place <= to);
    return parts.filter((_, place) => (place > 0 || first >= from) && (place + 1 < parts.length || last <= to));
  }

  /**
   * The id of the note that is drawn nearest to a point of the window; null if none is drawn.
   * @param {number} x
   * @param {number} y
   */
  noteAt(x, y) {
    let nearest = null;
    let least = Infinity;
    for (const [id, base] of this.drawn) {
      for (const element of this.drawings(base).flat()) {
        const { left, right, top, bottom, width, height } = element.getBoundingClientRect();
        if (!width && !height) continue; // it is in the layout that is hidden
        const away = Math.hypot(Math.max(left - x, 0, x - right), Math.max(top - y, 0, y - bottom));
        if (away < least) [nearest, least] = [id, away];
      }
    }
    return nearest;
  }

  /** Remembers that a control was pressed, unless it is in the bar, which is always in view. @param {globalThis.Event} event */
  pressed({ target }) {
    const control = target instanceof Element && target.closest("button, select, input, label, summary");
    if (control && !control.closest(".hb-player-bar")) this.pressedAt = performance.now();
  }

  /**
   * Called when a reader scrolls by touch, wheel or key. That ends our own scrolling at once; otherwise it
   * would pull the page back again and again.
   * @param {globalThis.Event} event
   */
  takenInHand({ target, defaultPrevented }) {
    const isControl = target instanceof HTMLInputElement || target instanceof HTMLSelectElement;
    if (!isControl && !defaultPrevented) this.scrollsUntil = -Infinity;
  }

  /** After a scroll by the reader: whether the notes are followed depends on where it led. */
  lookedElsewhere() {
    const place = this.shown.size ? this.place() : null;
    if (place && performance.now() > this.scrollsUntil) this.inView = place.seen;
  }

  /** Scrolls to the marked notes, if they are not in view and the reader follows them. */
  keepInView() {
    const place = this.place();
    if (!place || place.seen || !this.inView || performance.now() < this.pressedAt + PRESSED_MS) return;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const room = Math.max(0, (place.below - place.above - place.height) / 3);
    this.scrollsUntil = performance.now() + (still ? AT_ONCE_MS : SMOOTH_MS);
    scrollBy({ top: place.top - place.above - room, behavior: still ? "instant" : "smooth" });
  }

  /** Where the marked notes are in the window, in pixels: their upper edge and height; the edges of what header and bar leave free (`above`, `below`); and whether they are wholly within these. Null if none are marked. */
  place() {
    const boxes = [...this.shown.keys()]
      .map((element) => element.getBoundingClientRect())
      .filter(({ width, height }) => width || height);
    if (!boxes.length) return null;
    const [top, bottom] = [Math.min(...boxes.map((b) => b.top)), Math.max(...boxes.map((b) => b.bottom))];
    const above = document.querySelector(".md-header")?.getBoundingClientRect().bottom ?? 0;
    const bar = document.querySelector(".hb-player-bar:not([hidden])");
    const below = bar?.getBoundingClientRect().top ?? innerHeight;
    return { top, above, below, height: bottom - top, seen: top >= above && bottom <= below };
  }
}

/**
 * The ids of a note and of its grace notes, each with the id under which it is drawn.
 * @param {Note} note
 * @returns {[string, string][]}
 */
function drawnAs({ id, drawn, graces = [] }) {
  const quick = graces.map((_, place) => /** @type {[string, string]} */ ([`${id}.g${place + 1}`, `${drawn}.g${place + 1}`]));
  return [[id, drawn], ...quick];
}
