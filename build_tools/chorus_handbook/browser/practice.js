// @ts-check
/**
 * An exercise opened to be practised at home: the address says what is to sound and of which part
 * (`?sounds=echo&part=alto&key=D4`), as the links of the home page do (`at_home.js`). It then goes
 * round in one key, and the last key is stored for the next time.
 */

import { storedKeys } from "./stored_choices.js";

/** @import { QuickChoice } from "./mix.js" */

/** @type {Set<unknown>} */
const CHOICES = new Set(["all", "louder", "only", "others", "echo"]);

/**
 * What an address asks for; null if it has no known value of "sounds".
 * @param {string} search such as "?sounds=echo&part=alto"
 * @returns {{mix: QuickChoice, part: string | null} | null}
 */
export function practiceOf(search) {
  const parameters = new URLSearchParams(search);
  const mix = parameters.get("sounds");
  return CHOICES.has(mix) ? { mix: /** @type {QuickChoice} */ (mix), part: parameters.get("part") } : null;
}

/**
 * Makes the player ready, if the address asks for it: the controls come into view.
 * @param {HTMLElement} row the row of controls
 * @param {HTMLElement} figure
 */
export function openToPractise(row, figure) {
  if (!practiceOf(location.search)) return;
  const mode = row.querySelector("[name=play-mode]");
  if (mode instanceof HTMLSelectElement) mode.value = "loop";
  row.scrollIntoView({ block: "nearest" }); // no further than needed, so that the title stays in view too
  const slug = row.dataset.notes?.split("/").at(-2) ?? "";
  const store = storedKeys(new URL("../../", new URL(row.dataset.instrument ?? "", location.href)).pathname);
  figure.addEventListener("handbook:key", () => {
    store.save({ keys: [...new Map(store.read()?.keys).set(slug, figure.dataset.key ?? "")] });
  });
}
