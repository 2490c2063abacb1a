// @ts-check
/**
 * Lets readers choose what is shown at the notes of every score: scale numbers or sol-fa below the staff,
 * chord symbols above it. The choice is stored in this browser and applies to all pages. The code that
 * draws these rows of texts (`score_rows.js`) is loaded only when something is chosen.
 */

import { fetchNotes } from "./asset_loader.js";
import { storedRows } from "./stored_choices.js";
import { gettext } from "./words.js";

/** @import { DegreeNames } from "./degree_rows.js" */
/** @import { Notes } from "./schedule.js" */
/** @import { StoredRows } from "./stored_choices.js" */
/** @import { Row } from "./score_rows.js" */

/**
 * The chord symbols of an exercise, as the page contains them: the ids of the notes that they are
 * placed above, and for each key the symbols in the same order.
 * @typedef {{notes: string[], keys: Record<string, string[]>}} Symbols
 */

/**
 * Makes the controls of one score work, and shows what was chosen earlier.
 * @param {HTMLSelectElement} choice selects what is shown under the notes
 * @param {HTMLElement} player the row of controls; its data attributes have the address of the notes
 * @param {HTMLElement} figure
 */
export function setUp(choice, player, figure) {
  const store = storedRows(new URL("../../", new URL(player.dataset.instrument ?? "", location.href)).pathname);
  const row = choice.closest(".hb-player-row");
  const status = row?.querySelector("[role=status]");
  const chords = row?.querySelector("input[name=chord-names]");
  /** The notes of the exercise, requested when numbers or sol-fa are first shown. @type {Promise<Notes> | null} */
  let notes = null;
  /** Whether chord symbols are shown. */
  let chordsShown = false;

  /** Shows or removes what is chosen for below the staff. */
  async function showDegrees() {
    const under = choice.value;
    if (under === "nothing" && !notes) return; // nothing was ever shown
    const { showRows } = await import("./score_rows.js");
    if (under === "nothing") return showRows(figure, "degrees", null);
    const { degreeRows } = await import("./degree_rows.js");
    notes ??= fetchNotes(new URL(player.dataset.notes ?? "", location.href));
    const rows = degreeRows(await notes, /** @type {DegreeNames} */ (under));
    if (choice.value === under) await showRows(figure, "degrees", () => rows);
  }

  /** Shows or removes the chord symbols. @param {HTMLInputElement} chords the checkbox; its data attribute has the symbols */
  async function showChords(chords) {
    if (!chords.checked && !chordsShown) return;
    const { showRows } = await import("./score_rows.js");
    chordsShown = chords.checked;
    await showRows(figure, "chords", chordsShown ? () => chordRows(chords, figure.dataset.key ?? "") : null);
  }

  /** Shows something, and tells the reader if it cannot be loaded. @param {() => Promise<void>} show */
  async function attempt(show) {
    try {
      await show();
      if (status) status.textContent = "";
    } catch (reason) {
      notes = null; // the next choice fetches them again
      console.warn("rows", reason);
      if (status) status.textContent = gettext("This needs a connection. Choose it again when there is one.");
    }
  }

  /** Stores a choice. @param {Partial<StoredRows>} change */
  function save(change) {
    store.save({ ...(store.read() ?? { under: "nothing", chords: false }), ...change });
  }

  choice.value = store.read()?.under ?? "nothing";
  choice.addEventListener("change", () => {
    save({ under: /** @type {"nothing" | DegreeNames} */ (choice.value) });
    void attempt(showDegrees);
  });
  void attempt(showDegrees);
  if (!(chords instanceof HTMLInputElement)) return;
  chords.checked = store.read()?.chords ?? false;
  chords.addEventListener("change", () => {
    save({ chords: chords.checked });
    void attempt(() => showChords(chords));
  });
  void attempt(() => showChords(chords));
}

/**
 * The row of chord symbols in a key, above each system.
 * @param {HTMLInputElement} choice
 * @param {string} key
 * @returns {Row[]}
 */
function chordRows(choice, key) {
  /** @type {Symbols} */
  const { notes, keys } = JSON.parse(choice.dataset.symbols ?? "");
  return [{ side: "above", texts: notes.map((note, place) => ({ note, lines: [keys[key][place]] })) }];
}

for (const choice of document.querySelectorAll("select[name=under-notes]")) {
  const box = choice.closest(".hb-exercise");
  const player = box?.querySelector(".hb-player");
  const figure = box?.querySelector(".hb-figure");
  if (!(choice instanceof HTMLSelectElement) || !(player instanceof HTMLElement) || !(figure instanceof HTMLElement)) continue;
  setUp(choice, player, figure);
}
