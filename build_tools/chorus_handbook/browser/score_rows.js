// @ts-check
/**
 * Rows of text at the notes of a score, such as scale numbers under a staff or chord symbols above
 * a system. They are written into the drawings that stand in the page: a drawing is opened as far as
 * a row needs room, between what belongs to the staff and what stands next to it (words, another
 * staff), so that nothing lies on anything.
 *
 * `showRows` is all that others need. Each kind of row stands by itself, and may be shown, changed
 * and taken away at any time.
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

/** Rows of one kind in the key of the figure. @typedef {() => Row[]} Rows */

/** A text in its row: the middle of its note, and which line of the row its first line is. @typedef {{x: number, lines: string[], line: number}} PlacedText */

/** A row in one system, and the gap that it is to stand in. @typedef {{side: Row["side"], kind: string, height: number, gap: Gap, texts: PlacedText[]}} PlacedRow */

/** All in units of the drawing, of which a staff is 720 high. */
const SIZE = 330;
const LINE = 330;
const FONT = "sans-serif";
/** The height of a capital or figure, as a share of the size. */
const CAPITAL = 0.72;
/** What stays free above and below a row, and between two texts of one line. */
const MARGIN = 95;
const BETWEEN = 60;
/** How far a text stays from the sides of the drawing. */
const SIDE = 20;

/** What each figure shows, by kind; another map after each change. @type {WeakMap<Element, Map<string, Rows>>} */
const shown = new WeakMap();
/** Drawings as they came, and what they were given since. @type {WeakMap<SVGSVGElement, {inside: string, box: string, height: string, kinds: Map<string, Rows>}>} */
const drawings = new WeakMap();

/**
 * Shows rows in all drawings of a figure, in the key that it shows and in those that are chosen
 * later; or none of this kind any more.
 * @param {HTMLElement} figure
 * @param {string} kind the texts have the class "hb-" and this; a later call replaces its rows
 * @param {Rows | null} rows asked again in each key, when its drawings are there
 */
export async function showRows(figure, kind, rows) {
  const before = shown.get(figure);
  if (!before) figure.addEventListener("handbook:key", () => draw(figure));
  const kinds = new Map(before);
  kinds.delete(kind);
  if (rows) kinds.set(kind, rows);
  shown.set(figure, kinds);
  await document.fonts.load('20px "Handbook Lyrics"').catch(() => {}); // else words have other widths
  draw(figure);
}

/** Writes the rows into the drawings that do not have them. @param {HTMLElement} figure */
function draw(figure) {
  const kinds = shown.get(figure) ?? new Map();
  const all = /** @type {SVGSVGElement[]} */ ([...figure.querySelectorAll("svg[role=img]")]);
  const stale = all.filter((svg) => drawings.get(svg)?.kinds !== kinds);
  const rows = [...kinds].flatMap(([kind, made]) => (stale.length ? made() : []).map((/** @type {Row} */ row) => ({ kind, ...row })));
  // a layout that is not shown has no boxes: all are measured in a place of their own
  const bench = document.createElement("div");
  bench.style.cssText = "position:absolute;visibility:hidden;width:0;height:0;overflow:hidden";
  document.body.append(bench);
  for (const svg of stale) {
    asItCame(svg, kinds);
    const place = document.createComment("");
    svg.replaceWith(place);
    bench.append(svg);
    if (rows.length) write(svg, rows);
    place.replaceWith(svg);
  }
  bench.remove();
}

/** @param {SVGSVGElement} svg @param {Map<string, Rows>} kinds what it is to be given now */
function asItCame(svg, kinds) {
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

/** @param {SVGSVGElement} svg @param {(Row & {kind: string})[]} rows */
function write(svg, rows) {
  const drawing = new OpenedDrawing(svg);
  /** @type {Map<Gap, PlacedRow[]>} */
  const gaps = new Map();
  for (const row of rows.flatMap((row) => inSystems(drawing, row))) gaps.set(row.gap, [...(gaps.get(row.gap) ?? []), row]);
  const opened = [...gaps].sort(([a], [b]) => a.top - b.top).map(([gap, inside]) => {
    const [below, above] = ["below", "above"].map((side) => height(inside.filter((row) => row.side === side)));
    // what stands over a system leaves it as far from the one before as it was
    return { gap, inside, by: above + Math.max(0, below - (gap.bottom - gap.top)) };
  });
  drawing.open(opened.map(({ gap, by }) => [gap.bottom, by]));
  let before = 0;
  for (const { gap, inside, by } of opened) {
    let top = gap.top + before; // what belongs below a staff stands close to it
    for (const row of inside.filter(({ side }) => side === "below")) {
      svg.append(drawn(row, top));
      top += row.height;
    }
    before += by;
    let bottom = gap.bottom + before; // and what belongs above the next one close to that
    for (const row of inside.filter(({ side }) => side === "above").reverse()) {
      bottom -= row.height;
      svg.append(drawn(row, bottom));
    }
  }
}

/** @param {PlacedRow[]} rows */
function height(rows) {
  return rows.reduce((sum, row) => sum + row.height, 0);
}

/**
 * A row's place in each system that has notes of it.
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
 * Texts from left to right, none beyond the sides of the drawing; one that would touch the text
 * before it stands lower.
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

/** @param {PlacedRow} row @param {number} top */
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

/** @param {string} name @param {Record<string, string | number>} attributes */
function element(name, attributes) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [attribute, value] of Object.entries(attributes)) made.setAttribute(attribute, String(value));
  return made;
}

/** The number that comes most often. @param {number[]} numbers */
function usual(numbers) {
  /** @param {number} number */
  const count = (number) => numbers.filter((other) => other === number).length;
  return numbers.reduce((best, number) => (count(number) > count(best) ? number : best), numbers[0] ?? 0);
}
