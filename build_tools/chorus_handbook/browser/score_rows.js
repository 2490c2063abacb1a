// @ts-check
/**
 * Adds rows of texts to the scores on the page, each text at its note: scale numbers below a staff, or
 * chord symbols above a system (a line of music). To make room for a row, a drawing is cut through at a
 * height where nothing is drawn, next to a staff, and everything below the cut moves down
 * (`opened_drawing.js`).
 *
 * Other modules need only `showRows`. Each kind of row is independent of the others, and can be shown,
 * changed and removed at any time.
 */

import { OpenedDrawing, widthOf } from "./opened_drawing.js";

/** @import { Gap, NotePlace } from "./opened_drawing.js" */

/**
 * A text at a note: the id under which the note is drawn (in notes.json, `drawn`), and the text's
 * lines from top to bottom.
 * @typedef {{note: string, lines: string[]}} RowText
 */

/**
 * One row in each system: below the staff of its notes, or above the top staff of their system.
 * @typedef {{side: "below" | "above", texts: RowText[]}} Row
 */

/** Makes the rows of one kind for the key in which the figure is shown. @typedef {() => Row[]} Rows */

/** A text in its row: the middle of its note, and which line of the row its first line is. @typedef {{x: number, lines: string[], line: number}} PlacedText */

/** A row in one system, and the gap in which it is placed. @typedef {{side: Row["side"], kind: string, height: number, gap: Gap, texts: PlacedText[]}} PlacedRow */

/** The size of the text and the height of its lines, in units of the drawing; a staff is 720 high. */
const SIZE = 330;
const LINE = 330;
const FONT = "sans-serif";
/** The height of a capital letter or a figure, as a fraction of the text size. */
const CAPITAL = 0.72;
/** The free space above and below a row, and between two texts of one line. */
const MARGIN = 95;
const BETWEEN = 60;
/** The least distance of a text from the sides of the drawing. */
const SIDE = 20;

/** The rows that each figure shows, by kind. Every change makes a new map. @type {WeakMap<Element, Map<string, Rows>>} */
const shown = new WeakMap();
/** For each drawing, its original contents, and the rows that have been added to it. @type {WeakMap<SVGSVGElement, {inside: string, box: string, height: string, kinds: Map<string, Rows>}>} */
const drawings = new WeakMap();

/**
 * Shows rows in all drawings of a figure, in the present key and in those chosen later; or removes
 * the rows of this kind.
 * @param {HTMLElement} figure
 * @param {string} kind a name, such as "chords", that is also part of the texts' class ("hb-chords"); a
 *   later call with the same kind replaces its rows
 * @param {Rows | null} rows called again in each key, when the drawings of that key are in the page;
 *   null removes the rows
 */
export async function showRows(figure, kind, rows) {
  const before = shown.get(figure);
  if (!before) figure.addEventListener("handbook:key", () => draw(figure));
  const kinds = new Map(before);
  kinds.delete(kind);
  if (rows) kinds.set(kind, rows);
  shown.set(figure, kinds);
  await document.fonts.load('20px "Handbook Lyrics"').catch(() => {}); // otherwise widths are measured in another font
  draw(figure);
}

/** Writes the rows into those drawings of a figure that do not have them yet. @param {HTMLElement} figure */
function draw(figure) {
  const kinds = shown.get(figure) ?? new Map();
  const all = /** @type {SVGSVGElement[]} */ ([...figure.querySelectorAll("svg[role=img]")]);
  const stale = all.filter((svg) => drawings.get(svg)?.kinds !== kinds);
  const rows = [...kinds].flatMap(([kind, made]) => (stale.length ? made() : []).map((/** @type {Row} */ row) => ({ kind, ...row })));
  // A hidden layout cannot be measured, so each drawing is moved for a moment to an element where it can.
  const measuring = document.createElement("div");
  measuring.style.cssText = "position:absolute;visibility:hidden;width:0;height:0;overflow:hidden";
  document.body.append(measuring);
  for (const svg of stale) {
    restoreOriginal(svg, kinds);
    const place = document.createComment("");
    svg.replaceWith(place);
    measuring.append(svg);
    if (rows.length) write(svg, rows);
    place.replaceWith(svg);
  }
  measuring.remove();
}

/** Restores a drawing to its original state, before it gets new rows, and notes which. @param {SVGSVGElement} svg @param {Map<string, Rows>} kinds */
function restoreOriginal(svg, kinds) {
  const known = drawings.get(svg);
  if (known) {
    svg.innerHTML = known.inside;
    svg.setAttribute("viewBox", known.box);
    svg.setAttribute("height", known.height);
    known.kinds = kinds;
  } else {
    const [box, height] = ["viewBox", "height"].map((name) => svg.getAttribute(name) ?? "");
    drawings.set(svg, { inside: svg.innerHTML, box, height, kinds });
  }
}

/** Makes room in a drawing for rows, and writes them there. @param {SVGSVGElement} svg @param {(Row & {kind: string})[]} rows */
function write(svg, rows) {
  const drawing = new OpenedDrawing(svg);
  /** @type {Map<Gap, PlacedRow[]>} */
  const gaps = new Map();
  for (const row of rows.flatMap((row) => inSystems(drawing, row))) gaps.set(row.gap, [...(gaps.get(row.gap) ?? []), row]);
  const opened = [...gaps].sort(([a], [b]) => a.top - b.top).map(([gap, inside]) => {
    const [below, above] = ["below", "above"].map((side) => height(inside.filter((row) => row.side === side)));
    // a row above a system always opens the drawing, so the distance to the system before stays the same
    return { gap, inside, by: above + Math.max(0, below - (gap.bottom - gap.top)) };
  });
  drawing.open(opened.map(({ gap, by }) => [gap.bottom, by]));
  let before = 0;
  for (const { gap, inside, by } of opened) {
    let top = gap.top + before; // a row below a staff is placed close to that staff
    for (const row of inside.filter(({ side }) => side === "below")) {
      svg.append(drawn(row, top));
      top += row.height;
    }
    before += by;
    let bottom = gap.bottom + before; // a row above the next system is placed close to that system
    for (const row of inside.filter(({ side }) => side === "above").reverse()) {
      bottom -= row.height;
      svg.append(drawn(row, bottom));
    }
  }
}

/** The height of several rows together. @param {PlacedRow[]} rows */
function height(rows) {
  return rows.reduce((sum, row) => sum + row.height, 0);
}

/**
 * The parts of a row, one for each system that has notes of the row, with their gap and their height.
 * @param {OpenedDrawing} drawing
 * @param {Row & {kind: string}} row
 * @returns {PlacedRow[]}
 */
function inSystems(drawing, { side, kind, texts }) {
  const notes = texts.flatMap(({ note, lines }) => {
    const place = drawing.note(note);
    return place ? [{ ...place, lines }] : [];
  });
  const place = side === "above" ? 0 : usual(notes.map(({ staff }) => staff.place));
  return [...new Set(notes.map(({ staff }) => staff.system))].flatMap((system) => {
    const staff = drawing.staves.find((one) => one.system === system && one.place === place);
    const here = notes.filter((note) => note.staff.system === system);
    const gap = staff && (side === "below" ? drawing.below(staff, here) : drawing.over(staff));
    if (!gap) return [];
    const placed = inLines(here, drawing.svg.viewBox.baseVal);
    const lines = Math.max(...placed.map((text) => text.line + text.lines.length));
    return [{ side, kind, gap, height: (lines - 1) * LINE + SIZE * CAPITAL + 2 * MARGIN, texts: placed }];
  });
}

/**
 * Places texts from left to right, within the sides of the drawing. A text that would touch the one
 * before it goes one line lower.
 * @param {(NotePlace & {lines: string[]})[]} notes
 * @param {{x: number, width: number}} sides
 * @returns {PlacedText[]}
 */
function inLines(notes, sides) {
  /** @type {number[]} */
  const ends = [];
  return [...notes].sort((a, b) => a.x - b.x).map(({ x: middle, lines }) => {
    const half = Math.max(...lines.map((text) => widthOf(text, `${SIZE}px ${FONT}`))) / 2;
    const x = Math.min(Math.max(middle, sides.x + half + SIDE), sides.x + sides.width - half - SIDE);
    let line = 0;
    while (lines.some((_, place) => (ends[line + place] ?? -Infinity) + BETWEEN > x - half)) line += 1;
    for (const place of lines.keys()) ends[line + place] = x + half;
    return { x, lines, line };
  });
}

/** The SVG group of a row whose upper edge is at `top`. @param {PlacedRow} row @param {number} top */
function drawn({ kind, texts }, top) {
  const group = element("g", { class: `hb-row hb-${kind}`, "font-size": SIZE, "font-family": FONT, "text-anchor": "middle" });
  for (const { x, lines, line } of texts) {
    for (const [place, text] of lines.entries()) {
      const y = top + MARGIN + SIZE * CAPITAL + (line + place) * LINE;
      const one = element("text", { x: Math.round(x), y: Math.round(y) });
      one.textContent = text;
      group.append(one);
    }
  }
  return group;
}

/** A new SVG element. @param {string} name @param {Record<string, string | number>} attributes */
function element(name, attributes) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [attribute, value] of Object.entries(attributes)) made.setAttribute(attribute, String(value));
  return made;
}

/** The most frequent number; 0 if there is none. @param {number[]} numbers */
function usual(numbers) {
  /** @param {number} number */
  const count = (number) => numbers.filter((other) => other === number).length;
  return numbers.reduce((best, number) => (count(number) > count(best) ? number : best), numbers[0] ?? 0);
}
