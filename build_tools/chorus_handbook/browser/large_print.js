// @ts-check
/**
 * The button for large print at the foot of every page. The choice is stored in this browser;
 * `large_print_first.js` applies it when another page is opened.
 */

import { storedLargePrint } from "./stored_choices.js";

/** Makes the button work. @param {HTMLButtonElement} button its data attribute leads to the top of the handbook */
export function setUp(button) {
  const root = document.documentElement;
  const store = storedLargePrint(new URL(button.dataset.top ?? "", location.href).pathname);

  function show() {
    const large = root.classList.contains("hb-large");
    button.setAttribute("aria-pressed", String(large));
    // A score that is wider than the screen scrolls sideways; with the focus, also by the arrow keys.
    for (const score of document.querySelectorAll(".hb-drawings")) {
      if (large) score.setAttribute("tabindex", "0");
      else score.removeAttribute("tabindex");
    }
  }

  button.addEventListener("click", () => {
    const large = root.classList.toggle("hb-large");
    store.save({ large });
    show();
    button.scrollIntoView({ block: "nearest" });
  });
  show();
  button.hidden = false;
}

for (const button of document.querySelectorAll(".hb-large-print")) {
  if (button instanceof HTMLButtonElement) setUp(button);
}
