// @ts-check
/**
 * The box on a draft's page in which a reader looks for exercises to add: by words of their titles and
 * goals, or by the family to which their goals belong. Exercises that the chorus knows come first,
 * then those it is still learning; among equals, gentle ones come before strong ones.
 */

import { STATUS_WORDS, time } from "./finding_sentences.js";
import { statusIn } from "./planning.js";
import { gettext, ngettext } from "./words.js";

/** @import { Numbers, Plan, Planning } from "./planning.js" */
/** @import { Status } from "./rotation.js" */

/** How many exercises are shown at once. */
const MOST = 12;
/** How well the chorus knows an exercise, in the order in which exercises are listed. @type {Status[]} */
const ORDER = ["known", "settling", "resting", "new"];

/** @typedef {{slug: string, numbers: Numbers, status: Status}} Found */

/**
 * The exercises that have all of the words in their title or goals, and a goal of the family, sorted
 * as they are listed.
 * @param {Planning} planning
 * @param {Plan} plan its date decides how well an exercise is known
 * @param {string} words as typed, separated by spaces
 * @param {string} family "" for all families
 * @param {string[]} last the slugs of those that come after all others
 * @returns {Found[]}
 */
export function search(planning, plan, words, family, last = []) {
  const wanted = simple(words).split(" ").filter(Boolean);
  const found = Object.entries(planning.exercises).flatMap(([slug, numbers]) => {
    if (family && !numbers.families?.includes(family)) return [];
    const goals = (numbers.goals ?? []).map((name) => planning.goals[name] ?? "");
    const text = simple([numbers.title, numbers.also ?? "", ...goals].join(" "));
    return wanted.every((word) => text.includes(word)) ? [{ slug, numbers, status: statusIn(slug, plan, planning) }] : [];
  });
  return found.sort((a, b) => Number(last.includes(a.slug)) - Number(last.includes(b.slug)) || ORDER.indexOf(a.status) - ORDER.indexOf(b.status) || a.numbers.impact - b.numbers.impact || a.numbers.title.localeCompare(b.numbers.title));
}

/** A text in lower case and without accents. @param {string} text */
function simple(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().trim();
}

export class DraftSearch {
  /**
   * @param {HTMLElement} box
   * @param {(slug: string) => void} add called with the exercise that was chosen
   */
  constructor(box, add) {
    this.box = box;
    this.family = "";
    /** @type {Planning | null} */
    this.planning = null;
    /** @type {Plan | null} */
    this.plan = null;
    /** The exercises that were in the draft when the search last changed; they come last. What is added meanwhile stays where it was tapped. @type {string[] | null} */
    this.last = null;
    box.addEventListener("input", () => this.begin());
    box.addEventListener("click", ({ target }) => {
      const button = target instanceof Element ? target.closest("button") : null;
      if (button?.dataset.slug) add(button.dataset.slug);
      else if (button?.dataset.family) this.choose(button.dataset.family);
    });
  }

  /** Lists the exercises anew after the plan has changed. @param {Planning} planning @param {Plan} plan */
  update(planning, plan) {
    this.planning = planning;
    this.plan = plan;
    this.show();
  }

  /** Shows only exercises of a family; all again if that family was chosen already. @param {string} family */
  choose(family) {
    this.family = this.family === family ? "" : family;
    for (const button of this.box.querySelectorAll("[data-family]")) {
      button.setAttribute("aria-pressed", String(button.getAttribute("data-family") === this.family));
    }
    this.begin();
  }

  /** Shows what is found by another search. */
  begin() {
    this.last = null;
    this.show();
  }

  /** Lists what fits the words and the family. */
  show() {
    this.last ??= this.plan?.items.map(({ exercise }) => exercise) ?? null;
    const field = this.box.querySelector("[name=wanted]");
    const list = this.box.querySelector(".hb-draft-found");
    const more = this.box.querySelector(".hb-draft-more");
    if (!this.planning || !this.plan || !list || !more || !(field instanceof HTMLInputElement)) return;
    const { planning } = this;
    const found = search(planning, this.plan, field.value, this.family, this.last ?? []);
    const inIt = this.plan.items.map(({ exercise }) => exercise);
    list.replaceChildren(...found.slice(0, MOST).map((one) => this.row(one, inIt.includes(one.slug), planning)));
    const rest = found.length - MOST;
    const told =
      rest > 0
        ? ngettext("{n} more: type a word of its name or goal.", "{n} more: type a word of a name or a goal.", rest)
        : found.length
          ? ngettext("{n} exercise", "{n} exercises", found.length)
          : gettext("No exercise has these words. Try another word, or tap the family of goals again to search in all of them.");
    if (more.textContent !== told) more.textContent = told; // a screen reader says it when it changes
  }

  /** The list item for an exercise, with a button that adds it. @param {Found} found @param {boolean} inIt whether it is in the draft already @param {Planning} planning */
  row({ slug, numbers, status }, inIt, planning) {
    const [item, button, name, facts] = ["li", "button", "span", "span"].map((tag) => document.createElement(tag));
    button.setAttribute("type", "button");
    button.dataset.slug = slug;
    name.textContent = numbers.title;
    name.className = "hb-draft-name";
    facts.className = "hb-quiet";
    const length = status === "new" ? numbers.first : numbers.known;
    facts.textContent = [
      gettext("impact {impact}", { impact: numbers.impact }),
      time(length),
      planning.days.length ? STATUS_WORDS[status]() : "",
      inIt ? gettext("in it already") : "",
    ].filter(Boolean).join(" · ");
    button.append(name, " ", facts);
    item.append(button);
    return item;
  }
}
