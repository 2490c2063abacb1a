// @ts-check
/** Passes a draft on: as a link that contains all of it, or as the file of a warm-up. */

import { fileName, fileText } from "./draft_file.js";
import { written } from "./draft_link.js";
import { gettext } from "./words.js";

/** @import { Plan, Planning } from "./planning.js" */

const MINUTE_MS = 60_000;

/** Shows the link to a plan, and copies it if the browser lets it. @param {HTMLElement} row with the field for the link @param {Plan} plan @returns {Promise<string>} what to tell the reader */
export async function share(row, plan) {
  const link = `${location.origin}${location.pathname}#${written(plan)}`;
  const field = /** @type {HTMLInputElement} */ (row.querySelector("[name=link]"));
  row.hidden = false;
  field.value = link;
  try {
    await navigator.clipboard.writeText(link);
    return gettext("The link is copied: paste it into a message.");
  } catch {
    field.select();
    return gettext("Copy the selected link into a message.");
  }
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
