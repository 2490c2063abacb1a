// @ts-check
/**
 * The buttons under the player that play one part by itself: one tap makes it the singer's part and
 * plays it, a second one while it sounds brings the other parts back. They work through the row of that
 * voice under "Voices and keys", which has the same choice.
 */

import { PART_EVENT } from "./stored_choices.js";

/**
 * Makes the buttons of an exercise work.
 * @param {HTMLElement} box the exercise, with the player's controls
 * @param {{sounds: () => boolean, play: () => void}} player whether something sounds, and what begins it
 */
export function connectHearOnly(box, { sounds, play }) {
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
      const pressed = button.getAttribute("aria-pressed") === "true";
      if (!pressed || sounds()) alone(button.dataset.only ?? "")?.click(); // else: chosen on an earlier page
      show();
      if (button.getAttribute("aria-pressed") === "true" && !sounds()) play();
    });
  }
  for (const kind of ["click", "change"]) box.addEventListener(kind, show);
  document.addEventListener(PART_EVENT, show);
  show();
}
