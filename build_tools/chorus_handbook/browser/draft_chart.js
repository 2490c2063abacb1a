// @ts-check
/**
 * Draws how a draft builds up: a bar for each item, as wide as the time it takes and as high as its
 * impact (how much effort it asks of the voice, 1 to 5), with a table of the same below. The page of
 * a published warm-up has the same picture, made by `pages/build_up.py`.
 */

import { timetable } from "./clock.js";
import { interval, time } from "./finding_sentences.js";
import { RULES } from "./warm_up_rules.js";
import { gettext } from "./words.js";

/** @import { PlannedItem } from "./planning.js" */

const SVG = "http://www.w3.org/2000/svg";
const { width: WIDTH, step: STEP, top: TOP, foot: FOOT } = RULES.chart;

/**
 * The picture of the build-up.
 * @param {PlannedItem[]} items at least one
 * @param {number[]} numbers the number of each item, which stands below its bar
 * @returns {SVGElement}
 */
export function buildUp(items, numbers) {
  const slots = timetable(items);
  const whole = Math.max(slots[slots.length - 1].ends, 1);
  const floor = TOP + 5 * STEP;
  const impacts = items.map(({ impact }) => impact).join(", ");
  const picture = made("svg", { class: "hb-build-up", viewBox: `0 0 ${WIDTH} ${floor + FOOT}`, role: "img", "aria-label": gettext("Impact of the items in their order: {impacts}.", { impacts }) });
  picture.append(made("path", { d: `M0 ${floor}H${WIDTH}` }));
  for (const [place, { begins, ends }] of slots.entries()) {
    const [x, width] = [(WIDTH * begins) / whole, Math.max((WIDTH * (ends - begins)) / whole, 1)];
    const top = floor - STEP * items[place].impact;
    const middle = (x + width / 2).toFixed(1);
    picture.append(
      made("rect", { x: x.toFixed(1), y: top, width: width.toFixed(1), height: floor - top }),
      made("text", { x: middle, y: top - 3 }, String(items[place].impact)),
      made("text", { x: middle, y: floor + FOOT - 3, class: "hb-build-up-item" }, String(numbers[place])),
    );
  }
  return picture;
}

/**
 * The rows of the table below the picture: number and title, impact, range, widest leap, lines that
 * move, and singing time.
 * @param {PlannedItem[]} items
 * @param {number[]} numbers the number of each item
 * @param {string[]} impacts the words for each impact; the one at index 0 is never used
 * @returns {HTMLTableRowElement[]}
 */
export function buildUpRows(items, numbers, impacts) {
  return items.map(({ title, impact, span, leap, lines, singing }, place) => {
    const row = document.createElement("tr");
    const name = Object.assign(document.createElement("th"), { scope: "row" });
    const [number, unseen] = [["hb-order-number", numbers[place]], ["hb-unseen", ` ${title}`]].map(([className, textContent]) => Object.assign(document.createElement("span"), { className, textContent }));
    name.append(number, unseen);
    const said = [impacts[impact], span ? interval(span) : "", leap ? interval(leap) : "", lines || "", singing ? time(singing) : ""];
    row.append(name, ...said.map((text) => Object.assign(document.createElement("td"), { textContent: String(text) })));
    return row;
  });
}

/** A new SVG element. @param {string} name @param {Record<string, string | number>} attributes @param {string} [text] @returns {SVGElement} */
function made(name, attributes, text = "") {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  element.textContent = text;
  return element;
}
