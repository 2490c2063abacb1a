// @ts-check
/**
 * Tells the notes in words in the key in which the score is shown. The page has them in the first
 * key; those in other keys are moved from it by the interval between the tonics, as the scores are.
 */

import { namesInKey } from "./pitch_names.js";

/**
 * @param {HTMLDetailsElement} notes
 * @param {HTMLElement} figure the score; its data attribute has the key that is shown
 */
export function setUp(notes, figure) {
  const pitches = (notes.dataset.pitches ?? "").split(" ").filter(Boolean);
  const places = [...notes.querySelectorAll("li b")];
  const title = notes.querySelector(".hb-notes-title");
  let told = notes.dataset.key ?? "";

  /** Nothing is done while the notes are folded. */
  function show() {
    const key = figure.dataset.key ?? "";
    if (!notes.open || key === told) return;
    told = key;
    const names = namesInKey(pitches, notes.dataset.key ?? "", key);
    places.forEach((place, number) => (place.textContent = names[number]));
    if (title) title.textContent = figure.querySelector(".hb-drawings svg[role=img]")?.getAttribute("aria-label") ?? "";
  }

  figure.addEventListener("handbook:key", show);
  notes.addEventListener("toggle", show);
  show();
}

for (const notes of document.querySelectorAll("details.hb-notes")) {
  const figure = notes.closest(".hb-exercise")?.querySelector(".hb-figure");
  if (notes instanceof HTMLDetailsElement && figure instanceof HTMLElement) setUp(notes, figure);
}
