// @ts-check
/**
 * Writes the notes in words, for readers who do not see the score, in the key in which the score is
 * shown. The page has the notes of the first key; for another key they are moved by
 * the interval between the two tonics, as the scores are.
 */

import { namesInKey } from "./pitch_names.js";

/**
 * Makes the list of notes follow the score.
 * @param {HTMLDetailsElement} notes
 * @param {HTMLElement} figure the score; its data attribute has the key that is shown
 */
export function setUp(notes, figure) {
  const pitches = (notes.dataset.pitches ?? "").split(" ").filter(Boolean);
  const places = [...notes.querySelectorAll("li b")];
  const title = notes.querySelector(".hb-notes-title");
  let told = notes.dataset.key ?? "";

  /** Writes the notes in the key that is shown, unless they are folded. */
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
