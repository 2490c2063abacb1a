// @ts-check
/**
 * Takes a draft along: opens it on the music stand (the screen to lead a warm-up from), or prints its
 * cue sheet, or the narrow strip for whoever plays the piano.
 */

import { joinsAfter } from "./check_evening.js";
import { longDate } from "./draft_day.js";
import { fileName } from "./draft_file.js";
import { PlanParts } from "./draft_items.js";
import { filledIn, logLine } from "./draft_parts.js";
import { fillSheet } from "./draft_sheet.js";
import { standOf } from "./plan_stand.js";
import { gettext } from "./words.js";

/** @import { Taken } from "./draft_items.js" */
/** @import { Plan, Planning, RunningOrder } from "./planning.js" */

export class DraftTake {
  /** @param {HTMLElement} page @param {URL} handbook */
  constructor(page, handbook) {
    this.page = page;
    this.parts = new PlanParts(handbook);
  }

  /** Opens the stand, or prints. @param {string} what "stand", "sheet" or "strip" @param {Plan} plan @param {RunningOrder} order @param {Planning} planning */
  async take(what, plan, order, planning) {
    const taken = await this.parts.items(plan, order, planning);
    if (what === "stand") return this.openStand(plan, taken, planning);
    return this.print(what, plan, taken, joinsAfter(order), planning);
  }

  /** A copy of the page's template for the stand, the sheet or the strip, which still has no items. @param {string} name @returns {HTMLElement} */
  shell(name) {
    const template = this.page.querySelector(`template.hb-draft-${name}`);
    if (!(template instanceof HTMLTemplateElement)) throw new Error(name);
    return /** @type {HTMLElement} */ (document.importNode(template.content, true).firstElementChild);
  }

  /** Opens the music stand. @param {Plan} plan @param {Taken[]} taken @param {Planning} planning */
  async openStand(plan, taken, planning) {
    const dialog = /** @type {HTMLDialogElement} */ (this.shell("stand"));
    dialog.dataset.plan = fileName(plan).replace(/\.md$/, "");
    dialog.dataset.minutes = String(plan.minutes);
    dialog.querySelector(".hb-stand-log ol")?.append(...taken.map(({ one }) => logLine(one)));
    (await standOf(dialog, taken, planning, this.parts.handbook)).open();
  }

  /** Prints the sheet or the strip, which stands on the page only until it is printed. @param {string} what @param {Plan} plan @param {Taken[]} taken @param {number} joins the number of the item after which late singers join in, or 0 @param {Planning} planning */
  print(what, plan, taken, joins, planning) {
    const paper = this.shell(what);
    const title = paper.querySelector("h1, .hb-strip-title");
    if (title) title.textContent = plan.title;
    const when = paper.querySelector(".hb-strip-when");
    if (when) when.textContent = gettext("{date}, {time}", { date: longDate(plan.date), time: plan.starts });
    this.page.after(paper);
    if (what === "strip") paper.querySelector("tbody")?.append(...taken.map(({ one, values }) => filledIn(one.parts.strip, values)));
    else fillSheet(paper, plan, taken, joins, planning);
    if (what === "strip") document.documentElement.dataset.print = "strip";
    const done = () => {
      delete document.documentElement.dataset.print;
      paper.remove();
    };
    addEventListener("afterprint", done, { once: true });
    window.print();
  }
}
