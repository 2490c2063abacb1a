// @ts-check
/**
 * Takes a draft along: opens it on the music stand (the screen to lead a warm-up from), or prints its
 * cue sheet, or the narrow strip for whoever plays the piano. What each exercise contributes to these
 * is fetched when it is first needed (`draft_parts.js`).
 */

import { clockOf, joinsByItem } from "./attendance.js";
import { timetable } from "./clock.js";
import { fileName } from "./draft_file.js";
import { fetchParts, filledIn, logLine, partValues, sheetHead, sheetRow, standScreen } from "./draft_parts.js";
import { leaving } from "./draft_row.js";
import { RULES } from "./warm_up_rules.js";
import { gettext, language } from "./words.js";

/** @import { Parts, PartItem } from "./draft_parts.js" */
/** @import { Plan, Planning, RunningOrder } from "./planning.js" */

/**
 * How many words of "what to say" and of each step the cue sheet shows at most. The entries are tried
 * in order until everything fits on one page.
 */
const LENGTHS = [
  { say: Infinity, step: Infinity },
  { say: Infinity, step: 16 },
  { say: Infinity, step: 10 },
  { say: Infinity, step: 6 },
  { say: Infinity, step: 4 },
  { say: 10, step: 4 },
  { say: 10, step: 0 },
];

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
      late: plan.join_in === place,
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
    return this.print(what, plan, items, values, planning);
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

  /** Prints the sheet or the strip, which stands on the page only until it is printed. @param {string} what @param {Plan} plan @param {PartItem[]} items @param {Record<string, string>[]} values @param {Planning} planning */
  print(what, plan, items, values, planning) {
    const paper = this.shell(what);
    const title = paper.querySelector("h1, .hb-strip-title");
    if (title) title.textContent = plan.title;
    const head = paper.querySelector(".hb-sheet-head");
    const date = new Intl.DateTimeFormat(language() === "en" ? "en-GB" : language(), { dateStyle: "long", timeZone: "UTC" }).format(new Date(plan.date));
    if (head) head.textContent = sheetHead(plan, date, planning);
    this.page.after(paper);
    const body = paper.querySelector("tbody");
    if (what === "strip") body?.append(...items.map((one, place) => filledIn(one.parts.strip, values[place])));
    else this.fitSheet(paper, plan, items, values);
    if (what === "strip") document.documentElement.dataset.print = "strip";
    const done = () => {
      delete document.documentElement.dataset.print;
      paper.remove();
    };
    addEventListener("afterprint", done, { once: true });
    window.print();
  }

  /** Shortens the texts of the cue sheet until it fits. @param {HTMLElement} sheet @param {Plan} plan @param {PartItem[]} items @param {Record<string, string>[]} values */
  fitSheet(sheet, plan, items, values) {
    const body = sheet.querySelector("tbody");
    if (plan.join_in) sheet.querySelector(":scope > p:last-child")?.prepend(gettext("Those who are late come in after item {n}.", { n: plan.join_in }), " ");
    const { height, frame, row, wide } = RULES.sheet;
    const around = [".hb-sheet-head", ":scope > p:last-child"].map((part) => sheet.querySelector(part)?.textContent ?? "");
    const room = height - frame - RULES.sheet.line * lines(around, wide);
    for (const most of LENGTHS) {
      const rows = items.map((one, place) => sheetRow(one, values[place], most));
      body?.replaceChildren(...rows);
      const heights = rows.map((one) => rowHeight(one) + row);
      if (heights.reduce((sum, one) => sum + one, 0) <= room) break;
    }
  }
}

/** How many lines texts take together if so many characters fit on a line; each text begins a new line. @param {string[]} texts @param {number} characters */
function lines(texts, characters) {
  return texts.reduce((count, text) => {
    let [found, rest] = [0, 0];
    for (const word of text.split(/\s+/).filter(Boolean)) {
      if (word.length + 1 > rest) [found, rest] = [found + 1, characters + 1];
      rest -= word.length + 1;
    }
    return count + found;
  }, 0);
}

/** An estimate of how high a row of the cue sheet will be, in millimetres. @param {HTMLElement} row */
function rowHeight(row) {
  const { line, title_line, title, left, right } = RULES.sheet;
  const [, exercise, run] = [...row.children];
  const strong = [...exercise.querySelectorAll("strong")].map(({ textContent }) => textContent ?? "").join(" ");
  const below = (exercise.textContent ?? "").replace(/\s+/g, " ").slice(strong.length);
  return Math.max(title_line * lines([strong], title) + line * lines([below], left), line * (1 + lines([run.textContent ?? ""], right)));
}
