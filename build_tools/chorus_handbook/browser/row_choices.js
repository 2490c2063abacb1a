// @ts-check
/**
 * What a reader has written at the notes of every score, kept from page to page. What draws it is
 * loaded only where something is chosen.
 */

import { storedRows } from "./stored_choices.js";
import { gettext } from "./words.js";

/** @import { DegreeNames } from "./degree_rows.js" */
/** @import { Notes } from "./schedule.js" */
/** @import { Row } from "./score_rows.js" */

/**
 * @param {HTMLSelectElement} choice
 * @param {HTMLElement} player the row of controls, which knows where the notes are
 * @param {HTMLElement} figure
 */
export function setUp(choice, player, figure) {
  const store = storedRows(new URL("../../", new URL(player.dataset.instrument ?? "", location.href)).pathname);
  const says = choice.closest("p")?.querySelector("[role=status]");
  /** @type {Promise<Notes> | null} */
  let notes = null;

  async function show() {
    const under = choice.value;
    if (under === "nothing" && !notes) return; // nothing was ever shown
    const { showRows } = await import("./score_rows.js");
    if (under === "nothing") return showRows(figure, "degrees", null);
    const { degreeRows } = await import("./degree_rows.js");
    notes ??= fetch(player.dataset.notes ?? "").then((answer) => answer.json());
    const rows = degreeRows(await notes, /** @type {DegreeNames} */ (under));
    if (choice.value === under) await showRows(figure, "degrees", () => rows);
  }

  async function attempt() {
    try {
      await show();
      if (says) says.textContent = "";
    } catch (reason) {
      notes = null; // asked for again by the next choice
      console.warn("rows", reason);
      if (says) says.textContent = gettext("This needs a connection. Choose it again when there is one.");
    }
  }

  choice.value = store.read()?.under ?? "nothing";
  choice.addEventListener("change", () => {
    store.save({ under: /** @type {"nothing" | DegreeNames} */ (choice.value) });
    void attempt();
  });
  void attempt();
}

for (const choice of document.querySelectorAll("select[name=under-notes]")) {
  const box = choice.closest(".hb-exercise");
  const player = box?.querySelector(".hb-player");
  const figure = box?.querySelector(".hb-figure");
  if (!(choice instanceof HTMLSelectElement) || !(player instanceof HTMLElement) || !(figure instanceof HTMLElement)) continue;
  setUp(choice, player, figure);
}
