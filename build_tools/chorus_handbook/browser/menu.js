// @ts-check
/**
 * Lets the theme's menu on narrow screens be opened and closed from the keyboard, and tells screen readers
 * whether it is open. The theme opens it by a label, which only a pointer can use; this script puts a
 * button in the label's place.
 */

import { gettext } from "./words.js";

/**
 * Replaces the label by a button.
 * @param {HTMLLabelElement} label in the bar at the top
 * @param {HTMLInputElement} box the hidden box that shows the menu when it is ticked
 */
export function setUp(label, box) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = label.className;
  button.setAttribute("for", box.id); // the theme's styles ask for it
  button.setAttribute("aria-label", gettext("Menu"));
  button.append(...label.childNodes);
  label.replaceWith(button);
  const showState = () => button.setAttribute("aria-expanded", String(box.checked));

  /** Opens or closes the menu. @param {boolean} open */
  function show(open) {
    box.checked = open;
    box.dispatchEvent(new Event("change", { bubbles: true }));
  }

  button.addEventListener("click", (event) => {
    show(!box.checked);
    if (box.checked && event.detail === 0) menuLink()?.focus(); // pressed by a key
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !box.checked) return;
    show(false);
    button.focus();
  });
  box.addEventListener("change", showState);
  showState();
}

/** Lets a group of the menu be opened and closed by Enter and Space. @param {HTMLElement} group */
function setUpGroup(group) {
  group.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== " ") return;
    event.preventDefault();
    group.click();
  });
}

/** The first link of the menu that can have the focus. @returns {HTMLElement | undefined} */
function menuLink() {
  /** @type {NodeListOf<HTMLElement>} */
  const links = document.querySelectorAll(".md-sidebar--primary a[href]");
  return [...links].find((link) => link.getClientRects().length);
}

const label = document.querySelector('.md-header label[for="__drawer"]');
const box = document.getElementById("__drawer");
if (label instanceof HTMLLabelElement && box instanceof HTMLInputElement) setUp(label, box);
for (const group of document.querySelectorAll("label.md-nav__link[tabindex]")) {
  if (group instanceof HTMLElement) setUpGroup(group);
}
