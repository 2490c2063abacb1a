// @ts-check
/**
 * The choice of large print, at the foot of every page. It is stored in this browser, and
 * `large_print_first.js` follows it on other pages.
 */

import { storedLargePrint } from "./stored_choices.js";

/** @param {HTMLButtonElement} button its data attribute leads to the top of the handbook */
export function setUp(button) {
  const root = document.documentElement;
  const store = storedLargePrint(new URL(button.dataset.top ?? "", location.href).pathname);

  function show() {
    const large = root.classList.contains("hb-large");
    button.setAttribute("aria-pressed", String(large));
    // What is wider than the screen is scrolled by itself, also with the arrow keys.
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
