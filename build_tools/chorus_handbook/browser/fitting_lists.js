// @ts-check
/**
 * Limits lists of exercises to those that fit the reader's own range: those whose first key the reader
 * can sing.
 *
 * Exercises without notes, and those in which the reader's voice is silent, are always shown.
 */

import { computeSteps, stepsOut } from "./ladder.js";
import { gettext, keyName } from "./words.js";

/** @import { Ladder } from "./ladder.js" */
/** @import { Singer } from "./own_range_compass.js" */

/**
 * The entry of one exercise in index.json.
 * @typedef {object} Listed
 * @property {string} slug
 * @property {string} title
 * @property {Ladder} [ladder]
 */

/**
 * Whether an exercise fits, and in a few words how far; the note may be "".
 * @param {Listed | undefined} exercise undefined if index.json does not have it
 * @param {Singer} singer
 * @returns {{ fits: boolean, note: string }}
 */
export function fit(exercise, singer) {
  const steps = exercise?.ladder && computeSteps(exercise.ladder, singer.voice, singer.compass);
  if (!exercise?.ladder) return { fits: true, note: "" };
  if (!steps) return { fits: true, note: gettext("You: nothing to sing") };
  const place = stepsOut(steps);
  if (place === 0) return { fits: false, note: gettext("You: out from the start") };
  if (place > 0) {
    const key = keyName(exercise.ladder.keys[place - 1]);
    return { fits: true, note: gettext("You: as far as the key of {key}", { key }) };
  }
  return { fits: true, note: steps.length > 1 ? gettext("You: every key") : "" };
}

/**
 * Adds a note to every line of the page's lists that says how the exercise fits; with `only`, hides
 * lines that do not fit. Without a singer, all lines are shown without notes.
 * @param {Listed[]} exercises
 * @param {Singer | null} singer
 * @param {boolean} only
 * @returns {{ fitting: number, all: number }} how many lines fit, of how many
 */
export function limitLists(exercises, singer, only) {
  const bySlug = new Map(exercises.map((exercise) => [exercise.slug, exercise]));
  const count = { fitting: 0, all: 0 };
  for (const list of document.querySelectorAll(".hb-list")) {
    let shown = 0;
    for (const line of /** @type {NodeListOf<HTMLElement>} */ (list.querySelectorAll("[data-slug]"))) {
      const { fits, note } = singer
        ? fit(bySlug.get(line.dataset.slug ?? ""), singer)
        : { fits: true, note: "" };
      write(line, note);
      line.hidden = only && !fits;
      count.all += 1;
      count.fitting += Number(fits);
      shown += Number(!line.hidden);
    }
    hideWithHeading(list, shown === 0);
  }
  return count;
}

/**
 * Puts a note into a line of a list, in place of one that is there.
 * @param {HTMLElement} line
 * @param {string} note "" for none
 */
function write(line, note) {
  line.querySelector(".hb-fits")?.remove();
  if (!note) return;
  const span = document.createElement("span");
  span.className = "hb-fits";
  span.textContent = note;
  line.querySelector("th")?.append(span);
}

/**
 * Hides or shows a list together with the letter above it and that letter's line in the table of
 * contents.
 * @param {Element} list
 * @param {boolean} hidden
 */
function hideWithHeading(list, hidden) {
  list.toggleAttribute("hidden", hidden);
  const heading = list.previousElementSibling;
  if (!heading?.matches("h2[id]")) return;
  heading.toggleAttribute("hidden", hidden);
  for (const link of document.querySelectorAll(`.md-nav a[href="#${CSS.escape(heading.id)}"]`)) {
    link.closest("li")?.toggleAttribute("hidden", hidden);
  }
}
