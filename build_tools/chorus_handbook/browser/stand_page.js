// @ts-check
/**
 * What opens the music stand on the page of a warm-up or a routine, or prints; and the line that says that
 * what was noted on the stand is not saved yet.
 */

import { Stand } from "./stand.js";

/** Prints the strip for the accompanist instead of the cue sheet. */
function printStrip() {
  document.documentElement.dataset.print = "strip";
  addEventListener("afterprint", () => delete document.documentElement.dataset.print, { once: true });
  window.print();
}

const dialog = document.querySelector("dialog.hb-stand");
if (dialog instanceof HTMLDialogElement) {
  const stand = new Stand(dialog);
  const unsaved = document.querySelector(".hb-unsaved");
  for (const row of document.querySelectorAll(".hb-stand-open, .hb-unsaved")) {
    if (row !== unsaved) row.removeAttribute("hidden");
    row.addEventListener("click", (event) => {
      const wanted = event.target instanceof HTMLElement ? event.target.dataset.open : "";
      if (wanted === "stand") stand.open();
      else if (wanted === "notes") stand.openLog();
      else if (wanted === "notice") void stand.runThrough();
      else if (wanted === "through") stand.playThrough();
      else if (wanted === "print") window.print();
      else if (wanted === "strip") printStrip();
    });
  }
  const tellOfNotes = () => unsaved?.toggleAttribute("hidden", stand.log.state !== "noted");
  const closed = (/** @type {Event} */ { target }) => {
    tellOfNotes();
    if (target instanceof Element && target.matches(".hb-at-log")) unsaved?.scrollIntoView({ block: "nearest" });
  };
  document.addEventListener("close", closed, true); // of tonight's stand too
  tellOfNotes();
}
