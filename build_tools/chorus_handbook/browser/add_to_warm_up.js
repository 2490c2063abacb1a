// @ts-check
/**
 * The buttons "Add to a warm-up" on the page of an exercise and in lists. A tap puts the exercise at the
 * end of the current draft (the warm-up that the reader is putting together, `drafts.js`), says so for a
 * few seconds, and offers to undo it.
 */

import { MOST_ITEMS, currentOf, draftsIn, emptyPlan, storedDrafts, withExercise, withPlan } from "./drafts.js";
import { gettext, pgettext } from "./words.js";

/** @import { Drafts } from "./drafts.js" */

/** How long the confirmation stays, unless the pointer or the focus is on it. */
const STAYS_MS = 8000;

const handbook = new URL("../../", import.meta.url);
const store = storedDrafts(handbook.pathname);

/** The confirmation, one for all buttons. */
const box = document.createElement("div");
box.className = "hb-added";
box.setAttribute("role", "status");
document.body.append(box);
let timer = 0;
/** The button that was tapped last. @type {HTMLElement | null} */
let tapped = null;

/** Shows the confirmation. @param {string} text @param {(HTMLElement)[]} [more] buttons and links after it */
function tell(text, more = []) {
  const words = document.createElement("span");
  words.textContent = text;
  box.replaceChildren(words, ...more);
  clearTimeout(timer);
  const close = () => (box.matches(":hover, :focus-within") ? (timer = window.setTimeout(close, STAYS_MS)) : box.replaceChildren());
  timer = window.setTimeout(close, STAYS_MS);
}

/** Brings the drafts back as they were before. @param {Drafts} before */
function undo(before) {
  store.save(before);
  tapped?.focus({ preventScroll: true }); // the button for it goes
  tell(gettext("Undone."));
}

/** Adds an exercise. @param {string} slug */
function add(slug) {
  const before = draftsIn(store);
  const plan = currentOf(before)?.plan ?? emptyPlan(gettext("Warm-up"));
  if (plan.items.length >= MOST_ITEMS) return tell(gettext("A warm-up can have at most {n} items. Take one out first.", { n: MOST_ITEMS }));
  store.save(withPlan(before, withExercise(plan, slug)));
  if (!store.lasting) return tell(gettext("Nothing more can be stored in this browser: its storage is full or switched off."));
  const back = document.createElement("button");
  back.type = "button";
  back.textContent = gettext("Undo");
  back.addEventListener("click", () => undo(before));
  const open = document.createElement("a");
  open.href = new URL("draft/", handbook).href;
  open.textContent = gettext("Open");
  tell(gettext("Added to “{title}” as item {n}.", { title: plan.title, n: plan.items.length + 1 }), [back, open]);
}

/**
 * A button that adds an exercise, as the lists of pages have it.
 * @param {string} slug
 * @param {string} exercise its title
 */
export function addButton(slug, exercise) {
  const button = document.createElement("button");
  button.type = "button";
  button.className = "hb-add";
  button.dataset.add = slug;
  button.textContent = pgettext("to a warm-up", "Add");
  button.setAttribute("aria-label", gettext("Add {exercise} to a warm-up", { exercise }));
  return button;
}

document.addEventListener("click", ({ target }) => {
  const button = target instanceof Element ? target.closest("[data-add]") : null;
  if (!(button instanceof HTMLElement)) return;
  tapped = button;
  add(button.dataset.add ?? "");
});

// The confirmation stands at the end of the page: Tab leads there and back from the button that was tapped.
document.addEventListener("keydown", (event) => {
  const [first, last] = [box.querySelector("button"), box.querySelector("a")];
  if (event.key !== "Tab" || !tapped || !first || !last) return;
  const at = document.activeElement;
  if (at === last && !event.shiftKey) return tapped.focus({ preventScroll: true }); // and on from there
  const next = at === tapped && !event.shiftKey ? first : at === first && event.shiftKey ? tapped : null;
  if (!next) return;
  event.preventDefault();
  next.focus();
});
