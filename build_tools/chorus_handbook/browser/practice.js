// @ts-check
/**
 * Prepares the page of an exercise that a singer opens to practise at home. The links on the home page
 * (`at_home.js`) say in the address what is to be heard and which part is practised
 * (`?sounds=echo&part=alto&key=D4`). The player then repeats the exercise in one key, and the last key is
 * stored for the next time.
 */

import { storedKeys } from "./stored_choices.js";

/** @import { QuickChoice } from "./mix.js" */

/** The values of "sounds": those of the quick choice of what is heard (`mix.js`). @type {Set<unknown>} */
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
 * If the address asks for it, sets the player to repeat in one key, and scrolls its controls into view.
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
