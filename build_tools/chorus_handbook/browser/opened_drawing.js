// @ts-check
/**
 * Opens the drawing of a score: makes it taller somewhere in the middle, so that there is room for a row of
 * texts (`score_rows.js`). It finds the staves, the gaps (horizontal bands in which nothing is drawn), and
 * everything that has to move down when a gap is made wider. Lengths are in units of the drawing.
 */

import { moved, shapes } from "./drawn_paths.js";

/** @import { Box, Shape } from "./drawn_paths.js" */

/** A staff: its edges, the number of its system, and its place in that system, both from 0. @typedef {{top: number, bottom: number, system: number, place: number}} Staff */

/** A horizontal band in which nothing is drawn. @typedef {{top: number, bottom: number}} Gap */

/** Where a note is: the middle of its head, its lowest edge (with stem, dots and accidentals), and its staff. @typedef {{x: number, bottom: number, staff: Staff}} NotePlace */

/** The height of a staff, from its lowest line to its highest. */
const STAFF = 720;
/** The least length of a staff line; five of them at equal distances make a staff. */
const LONG = 400;
/** A shape that is taller than a staff by more than JOINING and narrower than NARROW joins staves (a bar line or a brace); a row of text may cross it. */
const JOINING = 100;
const NARROW = 450;
/** The clefs of SMuFL, U+E050 to U+E07F. No note is below a clef, so it is no obstacle there. */
const CLEF = /^#glyph-E0[567]/;
/** The note heads of SMuFL, also those in parentheses: U+E0A0 to U+E1AF. */
const HEAD = /^#glyph-E(0[A-F]|1[0-9A])/;

/** Measures texts. */
const pen = document.createElement("canvas").getContext("2d");

export class OpenedDrawing {
  /** @param {SVGSVGElement} svg must be in the page, so that it can be measured */
  constructor(svg) {
    this.svg = svg;
    /** The suffix of all ids in this drawing. */
    this.suffix = svg.dataset.suffix ?? "";
    this.paths = [...svg.querySelectorAll("path")].map((path) => {
      const pen = Number(path.getAttribute("stroke-width") ?? 0) / 2;
      return { path, pen, inNote: path.closest("g[id]") !== null, shapes: shapes(path.getAttribute("d") ?? "") };
    });
    /** Signs, dots, words and rotated groups; each moves as a whole. @type {{element: SVGGraphicsElement, box: Box}[]} */
    this.pieces = [...svg.querySelectorAll("use, circle, text, g[transform]")].flatMap((found) => {
      const element = /** @type {SVGGraphicsElement} */ (found);
      const turned = element.parentElement?.closest("g[transform]");
      return turned ? [] : [{ element, box: element instanceof SVGTextElement ? inkOf(element) : boxOf(element) }];
    });
    this.staves = this.findStaves();
    this.gaps = this.findGaps();
  }

  /** The staves from top to bottom, found by their lines. Staves joined by a line belong to one system. */
  findStaves() {
    /** @type {Set<number>} */
    const lines = new Set();
    /** @type {Box[]} */
    const joins = [];
    for (const { shapes, inNote } of this.paths) {
      for (const { box: [left, top, right, bottom] } of inNote ? [] : shapes) {
        if (top === bottom && right - left >= LONG) lines.add(top);
        if (left === right && bottom - top > STAFF + JOINING) joins.push([left, top, right, bottom]);
      }
    }
    /** @type {Staff[]} */
    const staves = [];
    for (const top of [...lines].sort((a, b) => a - b)) {
      const above = staves.at(-1);
      if (![1, 2, 3, 4].every((line) => lines.has(top + (line * STAFF) / 4)) || (above && above.bottom >= top)) continue;
      const joined = above && joins.some(([, from, , to]) => from <= above.bottom && to >= top + STAFF);
      const system = above ? above.system + (joined ? 0 : 1) : 0;
      staves.push({ top, bottom: top + STAFF, system, place: joined ? above.place + 1 : 0 });
    }
    return staves;
  }

  /** The gaps from top to bottom. Lines that join staves may cross a gap. @returns {Gap[]} */
  findGaps() {
    /** @type {[number, number][]} */
    const taken = this.staves.map(({ top, bottom }) => [top, bottom]);
    for (const { pen, inNote, shapes } of this.paths) {
      for (const shape of shapes) if (inNote || !joinsStaves(shape)) taken.push([shape.box[1] - pen, shape.box[3] + pen]);
    }
    const first = Math.min(...this.pieces.filter(({ element }) => element.closest("g[id]")).map(({ box }) => box[0]));
    for (const { element, box } of this.pieces) {
      const label = element.getAttribute("text-anchor") === "end" && box[2] < first;
      const clef = CLEF.test(element.getAttribute("href") ?? "") && this.staves.length;
      const bottom = clef ? Math.min(box[3], nearest(this.staves, (box[1] + box[3]) / 2).bottom) : box[3];
      if (!label) taken.push([box[1], bottom]); // names and clefs may reach below their staff
    }
    taken.sort(([a], [b]) => a - b);
    const { y, height } = this.svg.viewBox.baseVal;
    /** @type {Gap[]} */
    const gaps = [];
    let end = y;
    for (const [top, bottom] of taken) {
      if (top > end) gaps.push({ top: end, bottom: top });
      end = Math.max(end, bottom);
    }
    gaps.push({ top: end, bottom: Math.max(end, y + height) });
    return gaps;
  }

  /** Where a note is; null if this drawing has no note with this id. @param {string} id @returns {NotePlace | null} */
  note(id) {
    const group = this.svg.querySelector(`[id="${CSS.escape(id + this.suffix)}"]`);
    const signs = this.pieces.filter(({ element }) => element instanceof SVGUseElement && group?.contains(element));
    const head = signs.find(({ element }) => HEAD.test(element.getAttribute("href") ?? ""));
    if (!group || !head || !this.staves.length) return null;
    const lines = this.paths.filter(({ path }) => group.contains(path)).flatMap(({ shapes }) => shapes.map(({ box }) => box[3]));
    const [left, top, right, bottom] = head.box;
    return {
      x: (left + right) / 2,
      bottom: Math.max(...lines, ...signs.map(({ box }) => box[3])),
      staff: nearest(this.staves, (top + bottom) / 2),
    };
  }

  /**
   * The first gap that is below both a staff and these notes. If there is none above the next staff, the
   * nearest gap above the staff; undefined if there is neither.
   * @param {Staff} staff
   * @param {NotePlace[]} notes those of the staff to which the row belongs
   */
  below(staff, notes) {
    const from = Math.max(staff.bottom, ...notes.map(({ bottom }) => bottom));
    const found = this.gaps.find(({ bottom }) => bottom > from);
    const next = this.staves[this.staves.indexOf(staff) + 1];
    return found && next && found.top > next.top ? this.above(staff) : found;
  }

  /** The nearest gap above a staff; undefined if there is none. @param {Staff} staff */
  above(staff) {
    return this.gaps.filter(({ top }) => top < staff.top).pop();
  }

  /** The gap above a whole system with its words and signs: the widest one between it and the system before; undefined if there is none. @param {Staff} staff the top staff of the system */
  over(staff) {
    const before = this.staves[this.staves.indexOf(staff) - 1];
    if (!before) return this.gaps.find(({ top }) => top < staff.top);
    const between = this.gaps.filter(({ top }) => top >= before.bottom && top < staff.top);
    /** @type {Gap | undefined} */
    let widest;
    for (const gap of between) if (!widest || gap.bottom - gap.top > widest.bottom - widest.top) widest = gap;
    return widest;
  }

  /** Moves everything below the height `at` down by `by`, for each of the cuts, and makes the drawing taller. @param {[at: number, by: number][]} cuts */
  open(cuts) {
    const total = cuts.reduce((sum, [, by]) => sum + by, 0);
    if (!total) return;
    /** @param {number} y */
    const to = (y) => cuts.reduce((sum, [at, by]) => (y >= at ? sum + by : sum), y);
    for (const { path, pen, inNote, shapes } of this.paths) {
      const drawn = moved(shapes, (shape) => {
        if (!inNote && joinsStaves(shape)) return to;
        const top = shape.box[1] + pen;
        return (y) => y + to(top) - top;
      });
      path.setAttribute("d", drawn);
    }
    for (const { element, box: [, top, , bottom] } of this.pieces) {
      const by = to((top + bottom) / 2) - (top + bottom) / 2;
      const turned = element.getAttribute("transform");
      const height = element instanceof SVGCircleElement ? "cy" : "y";
      if (by && turned) element.setAttribute("transform", `translate(0 ${by}) ${turned}`);
      else if (by) element.setAttribute(height, String(Number(element.getAttribute(height)) + by));
    }
    const { x, y, width, height } = this.svg.viewBox.baseVal;
    this.svg.setAttribute("viewBox", [x, y, width, height + total].join(" "));
    const scale = Number(this.svg.getAttribute("width")) / width;
    this.svg.setAttribute("height", String(Math.ceil((height + total) * scale)));
  }
}

/** Whether a shape is a bar line or a brace that joins staves. @param {Shape} shape */
function joinsStaves({ box: [left, top, right, bottom] }) {
  return bottom - top > STAFF + JOINING && right - left < NARROW;
}

/** The staff that is nearest to a height. @param {Staff[]} staves @param {number} y */
function nearest(staves, y) {
  /** @param {Staff} staff */
  const away = ({ top, bottom }) => Math.max(top - y, 0, y - bottom);
  return staves.reduce((best, staff) => (away(staff) < away(best) ? staff : best));
}

/** The box of an element. @param {SVGGraphicsElement} element @returns {Box} */
function boxOf(element) {
  const { x, y, width, height } = element.getBBox();
  return [x, y, x + width, y + height];
}

/** The area that the letters of a text really cover; `getBBox` gives the full height of the font. @param {SVGTextElement} text @returns {Box} */
function inkOf(text) {
  const [left, top, right, bottom] = boxOf(text);
  if (!pen || !text.hasAttribute("y")) return [left, top, right, bottom];
  const { fontFamily, fontSize, fontStyle, fontWeight } = getComputedStyle(text);
  pen.font = `${fontStyle} ${fontWeight} ${fontSize} ${fontFamily}`;
  const { actualBoundingBoxAscent, actualBoundingBoxDescent } = pen.measureText(text.textContent ?? "");
  const line = Number(text.getAttribute("y"));
  return [left, line - actualBoundingBoxAscent, right, line + actualBoundingBoxDescent];
}

/**
 * The width that a text will have when it is drawn, in the unit in which `font` states its size.
 * @param {string} text
 * @param {string} font as in the CSS property `font`
 */
export function widthOf(text, font) {
  if (!pen) return 0;
  pen.font = font;
  return pen.measureText(text).width;
}
