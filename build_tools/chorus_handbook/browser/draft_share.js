// @ts-check
/** Passes a draft on: as a link that contains all of it, or as the file of a warm-up. */

import { fileName, fileText } from "./draft_file.js";
import { written } from "./draft_link.js";
import { gettext } from "./words.js";

/** @import { Plan, Planning } from "./planning.js" */

const MINUTE_MS = 60_000;

/** Shows the link to a plan, and copies it if the browser lets it. @param {HTMLElement} row with the field for the link @param {Plan} plan @returns {Promise<string>} what screen readers are told */
export function share(row, plan) {
  row.hidden = false;
  /** @type {HTMLInputElement} */ (row.querySelector("[name=link]")).value = `${location.origin}${location.pathname}#${written(plan)}`;
  return copy(row);
}

/**
 * Copies the link that the row shows, and says on its button that it did. Over plain HTTP a browser has no
 * clipboard for pages; the older command still copies what is selected.
 * @param {HTMLElement} row @returns {Promise<string>} what screen readers are told
 */
export async function copy(row) {
  const field = /** @type {HTMLInputElement} */ (row.querySelector("[name=link]"));
  const button = row.querySelector("button");
  let copied = true;
  try {
    await navigator.clipboard.writeText(field.value);
  } catch {
    field.select();
    copied = document.execCommand("copy");
  }
  if (button) button.textContent = copied ? gettext("Copied") : gettext("Copy");
  return copied ? gettext("The link is copied: paste it into a message.") : gettext("Copy the selected link into a message.");
}

/** Saves a plan as a file. @param {Plan} plan @param {Planning} planning @returns {string} what to tell the reader */
export function save(plan, { warm_ups = [] }) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([fileText(plan)], { type: "text/markdown" }));
  link.download = fileName(plan);
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), MINUTE_MS); // by then the browser has saved the file
  const file = link.download;
  return warm_ups.some((one) => `${one.file}.md` === file)
    ? gettext("Saved as {file}. The handbook has this file: put the new one in its place in handbook/warmups/ and run: handbook check", { file })
    : gettext("Saved as {file}. Put it into handbook/warmups/ and run: handbook check", { file });
}
