// @ts-check
/**
 * A drawing of a score that can be opened: its staves, the bands between which nothing stands, and
 * all that must move when one of them is made wider. Lengths are in units of the drawing.
 */

import { moved, shapes } from "./drawn_paths.js";

/** @import { Box, Shape } from "./drawn_paths.js" */

/** A staff: its edges, the system that it belongs to, and its place there. @typedef {{top: number, bottom: number, system: number, place: number}} Staff */

/** A band of the drawing in which nothing stands. @typedef {{top: number, bottom: number}} Gap */

/** The middle and the bottom of a note, with its head, stem, dots and accidentals. @typedef {{x: number, bottom: number, staff: Staff}} NotePlace */

/** The height of a staff. */
const STAFF = 720;
/** Lines at least so long are staff lines, if four more lie at equal distance. */
const LONG = 400;
/** What is so much higher than a staff and at most so wide joins staves, and stands in no row's way. */
const JOINING = 100;
const NARROW = 450;
/** The clefs of SMuFL, U+E050 to U+E07F: no note stands below one. */
const CLEF = /^#glyph-E0[567]/;
/** Its note heads, those in parentheses included: U+E0A0 to U+E1AF. */
const HEAD = /^#glyph-E(0[A-F]|1[0-9A])/;

const pen = document.createElement("canvas").getContext("2d");

export class OpenedDrawing {
  /** @param {SVGSVGElement} svg shown somewhere, so that it can be measured */
  constructor(svg) {
    this.svg = svg;
    /** What the ids of this drawing end with, as the id of its title does. */
    this.suffix = /-score((?:\.\w)*) /.exec(svg.getAttribute("aria-labelledby") ?? "")?.[1] ?? "";
    this.paths = [...svg.querySelectorAll("path")].map((path) => {
      const pen = Number(path.getAttribute("stroke-width") ?? 0) / 2;
      return { path, pen, inNote: path.closest("g[id]") !== null, shapes: shapes(path.getAttribute("d") ?? "") };
    });
    /** Signs, dots, words and what is turned: each moves as one. @type {{element: SVGGraphicsElement, box: Box}[]} */
    this.pieces = [...svg.querySelectorAll("use, circle, text, g[transform]")].flatMap((found) => {
      const element = /** @type {SVGGraphicsElement} */ (found);
      const turned = element.parentElement?.closest("g[transform]");
      return turned ? [] : [{ element, box: element instanceof SVGTextElement ? inkOf(element) : boxOf(element) }];
    });
    this.staves = this.findStaves();
    this.gaps = this.findGaps();
  }

  /** The staves from top to bottom, by their lines; the systems by what joins staves at the left. */
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

  /** The gaps from top to bottom. What joins staves passes through them. @returns {Gap[]} */
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

  /** Where a note stands; null where this drawing has none of this id. @param {string} id @returns {NotePlace | null} */
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
   * The gap below a staff and these notes; above it, where the next staff stands too close.
   * @param {Staff} staff
   * @param {NotePlace[]} notes
   */
  below(staff, notes) {
    const from = Math.max(staff.bottom, ...notes.map(({ bottom }) => bottom));
    const found = this.gaps.find(({ bottom }) => bottom > from);
    const next = this.staves[this.staves.indexOf(staff) + 1];
    return found && next && found.top > next.top ? this.above(staff) : found;
  }

  /** The gap above a staff and what belongs to it. @param {Staff} staff */
  above(staff) {
    return this.gaps.filter(({ top }) => top < staff.top).pop();
  }

  /** The gap over a system, of which this is the top staff: over its words and signs too. @param {Staff} staff */
  over(staff) {
    const before = this.staves[this.staves.indexOf(staff) - 1];
    if (!before) return this.gaps.find(({ top }) => top < staff.top);
    const between = this.gaps.filter(({ top }) => top >= before.bottom && top < staff.top);
    /** @type {Gap | undefined} */
    let widest;
    for (const gap of between) if (!widest || gap.bottom - gap.top > widest.bottom - widest.top) widest = gap;
    return widest;
  }

  /** Moves down what lies below each of these heights, by so much. @param {[at: number, by: number][]} cuts */
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

/** @param {Shape} shape */
function joinsStaves({ box: [left, top, right, bottom] }) {
  return bottom - top > STAFF + JOINING && right - left < NARROW;
}

/** @param {Staff[]} staves @param {number} y */
function nearest(staves, y) {
  /** @param {Staff} staff */
  const away = ({ top, bottom }) => Math.max(top - y, 0, y - bottom);
  return staves.reduce((best, staff) => (away(staff) < away(best) ? staff : best));
}

/** @param {SVGGraphicsElement} element @returns {Box} */
function boxOf(element) {
  const { x, y, width, height } = element.getBBox();
  return [x, y, x + width, y + height];
}

/** What a text's letters cover: its box is that of all letters there might be. @param {SVGTextElement} text @returns {Box} */
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
 * The width of a text that is not yet drawn.
 * @param {string} text
 * @param {string} font as CSS has it
 */
export function widthOf(text, font) {
  if (!pen) return 0;
  pen.font = font;
  return pen.measureText(text).width;
}
