// @ts-check
/**
 * The list of the exercises that were found: lines like those of all lists of exercises
 * (`pages/templates/list.html`). Of a long list only the first lines are shown, and more as the reader
 * scrolls down. A line is made when it is first shown, and kept.
 */

import { addButton } from "./add_to_warm_up.js";
import { sayIn } from "./sung.js";
import { gettext, joined, ngettext } from "./words.js";

/** @import { Found, Index } from "./find.js" */

/** How many lines are shown at first, and added each time. */
const LINES = 25;
const DAY_MS = 24 * 60 * 60 * 1000;

export class FoundRows {
  /**
   * @param {HTMLElement} lists the element for the list
   * @param {HTMLButtonElement} rest the button that shows more
   * @param {Index} index
   * @param {string} exercises the address of all exercises, below which each has its page
   */
  constructor(lists, rest, index, exercises) {
    this.index = index;
    this.exercises = exercises;
    this.rest = rest;
    /** @type {Map<string, HTMLElement>} */
    this.lines = new Map();
    /** @type {Found[]} */
    this.found = [];
    this.shown = 0;
    this.body = element("tbody", { role: "rowgroup" });
    this.columns = [
      ...[gettext("Exercise"), gettext("Goals"), gettext("Impact"), gettext("To learn"), gettext("Minutes")],
      ...[gettext("Voices"), gettext("First key")],
    ];
    const head = element("tr", { role: "row" });
    for (const column of this.columns) head.append(element("th", { role: "columnheader", scope: "col" }, column));
    const group = element("thead", { role: "rowgroup" });
    group.append(head);
    const table = element("table", { class: "hb-list hb-list-found", role: "table", "data-log": dates(index.log.days) });
    table.ariaLabel = gettext("Exercises found");
    table.append(group, this.body);
    lists.replaceChildren(table);
    rest.addEventListener("click", () => this.more());
    new IntersectionObserver((seen) => seen.some((one) => one.isIntersecting) && this.more(), {
      rootMargin: "600px",
    }).observe(rest);
    window.addEventListener("beforeprint", () => this.more(Infinity));
  }

  /** Shows these exercises in place of those before. @param {Found[]} found */
  show(found) {
    this.found = found;
    this.shown = 0;
    this.body.replaceChildren();
    this.more();
  }

  /** Shows `count` more lines. */
  more(count = LINES) {
    const next = this.found.slice(this.shown, this.shown + count);
    this.body.append(...next.map((exercise) => this.line(exercise)));
    this.shown += next.length;
    const left = this.found.length - this.shown;
    this.rest.hidden = left === 0;
    this.rest.textContent = ngettext("Show {n} more", "Show {n} more", left);
  }

  /** The line of an exercise, made at the first call. @param {Found} exercise */
  line(exercise) {
    const line = this.lines.get(exercise.slug) ?? this.make(exercise);
    this.lines.set(exercise.slug, line);
    return line;
  }

  /** Makes the line of an exercise. @param {Found} exercise */
  make(exercise) {
    const { words, log } = this.index;
    const line = element("tr", { role: "row", "data-slug": exercise.slug });
    const head = element("th", { role: "rowheader", scope: "row" });
    const link = element("a", { class: "hb-list-title", href: `${this.exercises}${exercise.slug}/` }, exercise.title);
    link.dir = "auto";
    head.append(link, " ");
    const plain = exercise.plain
      ? element("span", { class: "hb-plain" }, exercise.plain)
      : element("span", { class: "hb-list-summary" }, exercise.summary);
    plain.dir = "auto";
    head.append(plain);
    const sung = log.sung[exercise.slug] ?? [];
    if (sung.length || exercise.rotation === "new") {
      const last = element("span", { class: "hb-last-sung", "data-sung": dates(sung) }, gettext("New: not sung yet"));
      head.append(" ", last);
    }
    const [, , impact, learn, minutes, , key] = this.columns;
    const facts = [
      cell("goals", "", joined(exercise.goals.map((goal) => label(words.goals, goal)))),
      cell("impact", impact, gettext("{number} {word}", { number: exercise.impact, word: label(words.impact, exercise.impact) })),
      cell("learn", learn, exercise.level ? label(words.level, exercise.level) : ""),
      cell("minutes", minutes, exercise.times),
      cell("voices", "", exercise.who),
      cell("key", key, exercise.key ?? ""),
    ];
    if (exercise.starts) head.append(" ", element("span", { class: "hb-list-starts" }, gettext("Starting notes: {starts}", { starts: exercise.starts })));
    head.append(" ", addButton(exercise.slug, exercise.title));
    line.append(head, ...facts.flatMap((fact) => [" ", fact]));
    for (const place of line.querySelectorAll("[data-sung]")) {
      if (place instanceof HTMLElement && sung.length) sayIn(place, log.days, new Date());
    }
    return line;
  }
}

/**
 * What readers see of a value; the value itself where the handbook has no word for it.
 * @param {Record<string, string>} words
 * @param {string | number} value
 */
function label(words, value) {
  return Object.hasOwn(words, value) ? words[value] : String(value);
}

/**
 * A cell of an exercise's line, with one fact.
 * @param {string} area names the cell for the styles
 * @param {string} label shown where the table has no head; "" for none
 * @param {string} value
 */
function cell(area, label, value) {
  const made = element("td", { role: "cell", class: value ? `hb-list-${area}` : "" });
  if (value && label) made.append(element("span", { class: "hb-list-label" }, gettext("{label}:", { label })), " ");
  made.append(value);
  return made;
}

/**
 * An element with these attributes and this text.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} name
 * @param {Record<string, string>} [attributes]
 * @param {string} [text]
 * @returns {HTMLElementTagNameMap[K]}
 */
export function element(name, attributes = {}, text = "") {
  const made = document.createElement(name);
  for (const [attribute, value] of Object.entries(attributes)) if (value) made.setAttribute(attribute, value);
  if (text) made.textContent = text;
  return made;
}

/** Days as the attributes of pages have them: dates such as "2026-09-03" with spaces between. @param {number[]} days numbered from 1 January 1970 */
function dates(days) {
  return days.map((day) => new Date(day * DAY_MS).toISOString().slice(0, 10)).join(" ");
}
