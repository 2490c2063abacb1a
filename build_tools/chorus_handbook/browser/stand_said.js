// @ts-check
/**
 * Where a leader is on the music stand, for the eye, and what a screen reader says while the stand is turned
 * without looking: an item by its place and its name, with its first step; each further step; a new key with
 * its starting notes.
 */

import { gettext } from "./words.js";

/** @import { Key } from "./stand_keys.js" */

/** Shows the place among the items. @param {HTMLDialogElement} dialog @param {HTMLElement[]} items with the screens after the last item @param {number} place from 0 */
export function showPlace(dialog, items, place) {
  const count = items.filter(({ dataset }) => dataset.keys).length;
  const where = dialog.querySelector(".hb-stand-where");
  if (where) where.textContent = place < count ? gettext("{n} of {count}", { n: place + 1, count }) : "";
}

/** @param {HTMLDialogElement} dialog @param {HTMLElement} item @param {Element[]} steps @param {number} step from 0 */
export function sayStep(dialog, item, steps, step) {
  const title = step > 0 ? null : item.querySelector("h2");
  say(dialog, [title, steps[step]].map((part) => part?.textContent?.trim() ?? ""));
}

/** @param {HTMLDialogElement} dialog @param {Key} key */
export function sayKey(dialog, { name, starts }) {
  say(dialog, [name, starts]);
}

/** @param {HTMLDialogElement} dialog @param {string[]} texts each said by itself */
function say(dialog, texts) {
  const parts = texts.filter(Boolean).map((text) => {
    const part = document.createElement("span");
    part.textContent = `${text} `;
    return part;
  });
  dialog.querySelector(".hb-stand-said")?.replaceChildren(...parts);
}
