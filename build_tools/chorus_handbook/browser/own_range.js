// @ts-check
/**
 * Prepares "Your own range" on a page: the place where a singer sets the lowest and highest note they
 * sing. The form itself (`own_range_form.js`) is loaded only when a reader opens it, or has stored a
 * range before.
 */

import { storedRange } from "./stored_choices.js";
import { gettext } from "./words.js";

/** The events by which a reader uses the form. */
const EVENTS = ["change", "click"];

/** Loads the form when it is needed. @param {HTMLElement} box */
function setUp(box) {
  const form = box.querySelector("details");
  const store = storedRange(new URL("../../", new URL(box.dataset.index ?? "", location.href)).pathname);
  let requested = false;
  /** The reader's last event before the form was loaded; it is sent again afterwards. @type {Event | null} */
  let early = null;
  /** @param {Event} event */
  const keep = (event) => {
    if (!(event.target instanceof Element && event.target.closest("summary"))) early = event;
  };

  async function load() {
    if (requested) return;
    if (!form?.open && !store.read()) {
      // What is stored may not be a range; then the page need not wait for one any longer (before_paint.js).
      document.documentElement.classList.remove("hb-range-stored");
      return;
    }
    requested = true;
    try {
      const module = await import("./own_range_form.js");
      for (const kind of EVENTS) box.removeEventListener(kind, keep);
      module.setUp(box);
      early?.target?.dispatchEvent(new Event(early.type, { bubbles: true }));
    } catch (reason) {
      requested = false; // so that the next try loads it again
      console.warn("own range", reason);
      const status = box.querySelector(".hb-own-status");
      if (status) status.textContent = gettext("The ranges could not be loaded. Try again when you are online.");
    }
  }

  for (const kind of EVENTS) box.addEventListener(kind, keep);
  form?.addEventListener("toggle", () => void load());
  window.addEventListener("pageshow", () => void load());
  window.addEventListener("storage", () => void load());
  box.hidden = false;
  void load();
}

for (const box of document.querySelectorAll(".hb-own")) {
  if (box instanceof HTMLElement) setUp(box);
}
