// @ts-check
/** The music stand of a plan that was made or changed in the browser. */

import { standScreen } from "./draft_parts.js";

/** @import { Taken } from "./draft_items.js" */
/** @import { Planning } from "./planning.js" */

/**
 * Puts the screens of the items into a stand and adds it to the page, which it leaves when it is closed.
 * @param {HTMLDialogElement} dialog as `stand.html` makes it, with its log but without screens of items
 * @param {Taken[]} taken
 * @param {Planning} planning
 * @param {URL} handbook the address of the site
 */
export async function standOf(dialog, taken, planning, handbook) {
  const { Stand } = await import("./stand.js");
  const draft = new URL("draft/", handbook); // the page for which the parts of exercises are made
  const screens = taken.map(({ one, values }) => standScreen(one, values, planning));
  for (const screen of screens) {
    for (const name of ["score", "notes"]) if (screen.dataset[name]) screen.dataset[name] = new URL(screen.dataset[name], draft).href;
    for (const link of screen.querySelectorAll("a")) link.href = new URL(link.getAttribute("href") ?? "", draft).href;
  }
  dialog.querySelector(".hb-stand-log")?.before(...screens);
  (document.querySelector(".md-typeset") ?? document.body).append(dialog); // where the styles of a stand apply
  dialog.addEventListener("close", () => dialog.remove());
  return new Stand(dialog);
}
