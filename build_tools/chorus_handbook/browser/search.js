// @ts-check
/**
 * Opens the search over any page, from the links to it or by Ctrl+K, and puts it on the page "Search"
 * itself. The code that searches and the texts that are searched are loaded only then
 * (`search_box.js`). Without this script, the links lead to the page "Search".
 */

import { gettext } from "./words.js";

/** The link at the top, and on the first page another one. */
const links = /** @type {HTMLAnchorElement[]} */ ([...document.querySelectorAll("a.hb-search")]);
const [link] = links;
const page = /** @type {HTMLElement | null} */ (document.querySelector(".hb-search-page"));
/** The name under which this visit's words are kept, for each handbook its own; and how many letters of them. */
const WORDS = `chorus-handbook search ${link ? new URL(".", link.href).pathname : ""}`;
const MOST_KEPT = 200;
/** @type {HTMLDialogElement | null} */
let dialog = null;

/** Makes the parts of the search: a form with its field, a line that screen readers announce, and the list of what is found. @param {string} address of the page "Search" */
function box(address) {
  const form = document.createElement("form");
  form.className = "hb-search-form";
  form.action = address;
  form.setAttribute("role", "search");
  const field = document.createElement("input");
  Object.assign(field, { name: "q", autocomplete: "off", spellcheck: false, inputMode: "search", enterKeyHint: "search" });
  field.setAttribute("role", "searchbox"); // in a field of type "search", Escape would empty it instead of closing the dialog
  field.setAttribute("autocapitalize", "off");
  field.setAttribute("aria-label", gettext("Search"));
  field.placeholder = gettext("Name, goal, any word");
  form.append(field);
  const said = document.createElement("p");
  said.className = "hb-search-said";
  said.setAttribute("role", "status");
  const list = document.createElement("ol");
  list.className = "hb-found";
  list.setAttribute("aria-label", gettext("Found"));
  return { form, field, said, list };
}

/** Loads the search and makes these parts work. @param {ReturnType<typeof box>} parts @param {boolean} whole whether this is the page "Search", which shows more results */
async function start(parts, whole) {
  try {
    (await import("./search_box.js")).work(parts, whole);
  } catch {
    parts.said.textContent = gettext("The search could not be loaded. Are you online?");
  }
}

/** Opens the search as a dialog; on the page "Search", goes to its field. */
function open() {
  if (!link) return;
  if (page) return page.querySelector("input")?.focus();
  if (!dialog) {
    dialog = document.createElement("dialog");
    dialog.className = "hb-search-dialog";
    dialog.setAttribute("aria-label", gettext("Search"));
    const parts = box(link.href);
    const close = document.createElement("button");
    Object.assign(close, { type: "button", textContent: gettext("Close") });
    parts.form.append(close);
    dialog.append(parts.form, parts.said, parts.list);
    document.body.append(dialog);
    const shown = dialog;
    close.addEventListener("click", () => shown.close());
    shown.addEventListener("click", (event) => event.target === shown && shown.close());
    window.visualViewport?.addEventListener("resize", fit);
    fit();
    parts.field.value = lastWords();
    parts.field.addEventListener("input", () => keepWords(parts.field.value));
    shown.showModal();
    parts.field.select();
    start(parts, false);
  } else {
    dialog.showModal();
    dialog.querySelector("input")?.select();
  }
}

/** What was looked for last on this visit, on any page of the handbook; "" if nothing was. */
function lastWords() {
  try {
    return sessionStorage.getItem(WORDS) ?? "";
  } catch {
    return ""; // storage is blocked
  }
}

/** Keeps what is looked for, for this visit. @param {string} words */
function keepWords(words) {
  try {
    sessionStorage.setItem(WORDS, words.slice(0, MOST_KEPT));
  } catch {
    // storage is blocked or full: then the next page begins with nothing
  }
}

/** Makes the dialog end above the keyboard of a phone. */
function fit() {
  dialog?.style.setProperty("--hb-seen", `${window.visualViewport?.height ?? window.innerHeight}px`);
}

for (const one of links) {
  one.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    open();
  });
}
document.addEventListener("keydown", (event) => {
  if (event.key.toLowerCase() !== "k" || !(event.ctrlKey || event.metaKey) || event.altKey || event.shiftKey) return;
  if (document.querySelector("dialog[open]:not(.hb-search-dialog)")) return;
  event.preventDefault();
  open();
});

if (page) {
  const parts = box(location.pathname);
  parts.field.value = new URLSearchParams(location.search).get("q") ?? "";
  page.replaceChildren(parts.form, parts.said, parts.list);
  parts.field.focus();
  start(parts, true);
}
