// @ts-check
/** The row of controls of every voice: its level, and whether it is in front, alone or silent. */

import { gettext } from "./words.js";

/** @import { Mix, Role } from "./mix.js" */

/**
 * @param {HTMLElement} box
 * @param {Mix} mix
 * @param {{changed: () => void, pitch: (voice: string) => void}} then
 */
export function voiceControls(box, mix, then) {
  const rows = /** @type {HTMLElement[]} */ ([...box.querySelectorAll("[data-voice]")]);

  function show() {
    for (const row of rows) {
      const { role } = mix.voices.get(row.dataset.voice ?? "") ?? { role: "as set" };
      for (const button of /** @type {NodeListOf<HTMLElement>} */ (row.querySelectorAll("[data-role]"))) {
        button.setAttribute("aria-pressed", String(button.dataset.role === role));
      }
    }
  }

  for (const row of rows) {
    const voice = row.dataset.voice ?? "";
    row.addEventListener("input", (event) => {
      if (!(event.target instanceof HTMLInputElement)) return;
      event.target.setAttribute("aria-valuetext", gettext("{n} percent", { n: event.target.value }));
      mix.set(voice, Number(event.target.value) / 100);
      then.changed();
    });
    row.addEventListener("click", (event) => {
      const button = event.target instanceof Element ? event.target.closest("button") : null;
      if (!button) return;
      if (button.classList.contains("hb-voice-pitch")) return then.pitch(voice);
      const role = /** @type {Role} */ (button.dataset.role);
      mix.give(voice, mix.voices.get(voice)?.role === role ? "as set" : role);
      show();
      then.changed();
    });
  }
  show();
}
