// @ts-check
/**
 * When there is no connection, says so in a line above the page, in room that is free there, so that
 * nothing moves under the reader's finger (`kept.css`). Unless everything is kept, it also marks every link to a page that is
 * not kept on this device, links that appear later included, such as those of a search.
 */

import { allKept, KeptFiles, pageAt } from "./kept_files.js";
import { SIGNAL_EVENT, WITHOUT_SIGNAL } from "./without_signal.js";
import { gettext } from "./words.js";

const root = document.documentElement;

/** The attribute that marks a link, or the title within a search result; `kept.css` shows its text. */
const MARK = "data-not-kept";

/** Marks links that are added to the page; null while there is a connection. @type {MutationObserver | null} */
let marking = null;
const line = document.createElement("p");

/**
 * Says that there is no connection, until there is one again. Does nothing if no service worker answers
 * for the site, as with `handbook serve`, which needs no connection.
 * @param {URL} base the address of the site
 */
export async function tellNoSignal(base) {
  if (marking || !navigator.serviceWorker?.controller) return;
  marking = new MutationObserver((changes) => changes.forEach(({ target }) => mark(/** @type {Element} */ (target))));
  const files = new KeptFiles(base);
  const everything = await files.read().then(allKept, () => false);
  const link = document.createElement("a");
  link.href = new URL("kept/", base).href;
  link.textContent = everything ? gettext("No signal; everything is kept.") : gettext("No signal: only what is kept here opens.");
  line.className = "hb-no-signal";
  line.setAttribute("role", "status");
  line.replaceChildren(link);
  document.querySelector("article")?.prepend(line);
  root.classList.add(WITHOUT_SIGNAL); // only then are the marks seen (`kept.css`)
  document.dispatchEvent(new Event(SIGNAL_EVENT));
  window.addEventListener("online", tellSignal, { once: true });

  const kept = await files.addresses().catch(() => /** @type {Set<string>} */ (new Set()));
  const here = pageAt(base, location.href);
  const word = gettext("not kept here");
  /** Marks the links within an element. @param {Element} inside */
  function mark(inside) {
    for (const link of inside.querySelectorAll("a[href]")) {
      if (!(link instanceof HTMLAnchorElement) || link.closest("header.md-header, .hb-kept-missing")) continue;
      const place = link.querySelector(".hb-found-title") ?? link;
      const page = pageAt(base, link.href);
      if (page === null || page === here || kept.has(new URL(page, base).href)) place.removeAttribute(MARK);
      else place.setAttribute(MARK, word);
    }
  }
  mark(document.body);
  marking?.observe(document.body, { childList: true, subtree: true });
}

/** Takes the line and the marks away. */
function tellSignal() {
  marking?.disconnect();
  marking = null;
  line.remove();
  root.classList.remove(WITHOUT_SIGNAL);
  document.dispatchEvent(new Event(SIGNAL_EVENT));
}
