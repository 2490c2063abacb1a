// @ts-check
/**
 * Takes a draft along: opens it on the music stand (the screen to lead a warm-up from), or prints its
 * cue sheet, or the narrow strip for whoever plays the piano. What each exercise contributes to these
 * is fetched when it is first needed (`draft_parts.js`).
 */

import { clockOf, during, joinsByItem } from "./attendance.js";
import { joinsAfter } from "./check_evening.js";
import { timetable } from "./clock.js";
import { fileName } from "./draft_file.js";
import { fetchParts, filledIn, logLine, partValues, standScreen } from "./draft_parts.js";
import { leaving } from "./draft_row.js";
import { fillSheet } from "./draft_sheet.js";

/** @import { Parts, PartItem } from "./draft_parts.js" */
/** @import { Plan, Planning, RunningOrder } from "./planning.js" */

export class DraftTake {
  /** @param {HTMLElement} page @param {URL} handbook */
  constructor(page, handbook) {
    this.page = page;
    this.handbook = handbook;
    /** @type {Map<string, Promise<Parts>>} */
    this.parts = new Map();
  }

  /** The parts of an exercise, kept once they are fetched; if that fails, the next call tries again. @param {string} slug */
  partsOf(slug) {
    const parts = this.parts.get(slug) ?? fetchParts(this.handbook, slug);
    this.parts.set(slug, parts);
    parts.catch(() => this.parts.delete(slug));
    return parts;
  }

  /** The items of a draft with all that its stand and prints need of them. Fails if the parts of one cannot be fetched. @param {Plan} plan @param {RunningOrder} order @param {Planning} planning @returns {Promise<PartItem[]>} */
  async items(plan, order, planning) {
    const parts = await Promise.all(order.items.map(({ slug }) => this.partsOf(slug)));
    const slots = timetable(order.items);
    const items = plan.items.filter(({ exercise }) => Object.hasOwn(planning.exercises, exercise));
    const joins = joinsByItem(plan, slots, planning);
    /** @type {PartItem[]} */
    const made = order.items.map((planned, place) => ({
      parts: parts[place],
      item: items[place],
      numbers: planning.exercises[planned.slug],
      planned,
      slot: slots[place],
      number: place + 1,
      begins: clockOf(plan.starts),
      seated: plan.kind === "seated",
      joins: joins[place],
      away: during(plan, slots[place], planning),
      again: order.items.slice(0, place + 1).some(({ at }) => at !== null),
      late: joinsAfter(order) === place && place > 0,
      next: null,
    }));
    for (const [place, one] of made.entries()) one.next = made[place + 1] ?? null;
    return made;
  }

  /** Opens the stand, or prints. @param {string} what "stand", "sheet" or "strip" @param {Plan} plan @param {RunningOrder} order @param {Planning} planning */
  async take(what, plan, order, planning) {
    const items = await this.items(plan, order, planning);
    const values = items.map((one) => partValues(one, planning, leaving(one.item, one.numbers, one.planned.there, planning)));
    if (what === "stand") return this.openStand(plan, items, values, planning);
    return this.print(what, plan, items, values, joinsAfter(order), planning);
  }

  /** A copy of the page's template for the stand, the sheet or the strip, which still has no items. @param {string} name @returns {HTMLElement} */
  shell(name) {
    const template = this.page.querySelector(`template.hb-draft-${name}`);
    if (!(template instanceof HTMLTemplateElement)) throw new Error(name);
    return /** @type {HTMLElement} */ (document.importNode(template.content, true).firstElementChild);
  }

  /** Opens the music stand. @param {Plan} plan @param {PartItem[]} items @param {Record<string, string>[]} values for each item, as `partValues` gives them @param {Planning} planning */
  async openStand(plan, items, values, planning) {
    const { Stand } = await import("./stand.js");
    const dialog = /** @type {HTMLDialogElement} */ (this.shell("stand"));
    dialog.dataset.plan = fileName(plan).replace(/\.md$/, "");
    dialog.dataset.minutes = String(plan.minutes);
    dialog.querySelector(".hb-stand-log")?.before(...items.map((one, place) => standScreen(one, values[place], planning)));
    dialog.querySelector(".hb-stand-log ol")?.append(...items.map(logLine));
    document.body.append(dialog);
    dialog.addEventListener("close", () => dialog.remove());
    new Stand(dialog).open();
  }

  /** Prints the sheet or the strip, which stands on the page only until it is printed. @param {string} what @param {Plan} plan @param {PartItem[]} items @param {Record<string, string>[]} values @param {number} joins the number of the item after which late singers join in, or 0 @param {Planning} planning */
  print(what, plan, items, values, joins, planning) {
    const paper = this.shell(what);
    const title = paper.querySelector("h1, .hb-strip-title");
    if (title) title.textContent = plan.title;
    this.page.after(paper);
    if (what === "strip") paper.querySelector("tbody")?.append(...items.map((one, place) => filledIn(one.parts.strip, values[place])));
    else fillSheet(paper, plan, items, values, joins, planning);
    if (what === "strip") document.documentElement.dataset.print = "strip";
    const done = () => {
      delete document.documentElement.dataset.print;
      paper.remove();
    };
    addEventListener("afterprint", done, { once: true });
    window.print();
  }
}
