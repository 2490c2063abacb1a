// @ts-check
/**
 * The buttons under the player that play one part by itself: one tap makes it the singer's part and
 * plays it, a second one brings the other parts back. They work through the row of that voice under
 * "Voices and keys", which has the same choice.
 */

import { PART_EVENT } from "./stored_choices.js";

/**
 * Makes the buttons of an exercise work.
 * @param {HTMLElement} box the exercise, with the player's controls
 * @param {() => void} play begins to play, if nothing sounds
 */
export function connectHearOnly(box, play) {
  const buttons = /** @type {HTMLElement[]} */ ([...box.querySelectorAll("[data-only]")]);
  /** @type {(voice: string) => HTMLElement | null} */
  const alone = (voice) => box.querySelector(`[data-voice="${CSS.escape(voice)}"] [data-role="alone"]`);
  const show = () => {
    for (const button of buttons) {
      button.setAttribute("aria-pressed", alone(button.dataset.only ?? "")?.getAttribute("aria-pressed") ?? "false");
    }
  };
  for (const button of buttons) {
    button.addEventListener("click", () => {
      alone(button.dataset.only ?? "")?.click();
      show();
      if (button.getAttribute("aria-pressed") === "true") play();
    });
  }
  for (const kind of ["click", "change"]) box.addEventListener(kind, show);
  document.addEventListener(PART_EVENT, show);
  show();
}
