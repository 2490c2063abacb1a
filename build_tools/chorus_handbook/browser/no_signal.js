// @ts-check
/**
 * Without a connection: says so in one line above the page, and marks every link to a page that is not
 * kept on this device, also those that are shown later, such as what a search has found.
 */

import { KeptFiles, pageAt } from "./kept_files.js";
import { gettext } from "./words.js";

/** The styles show marks only while this is a class of the root element (`kept.css`). */
const WITHOUT_SIGNAL = "hb-without-signal";
const root = document.documentElement;

/** The mark, which `kept.css` shows behind the link, and of something found behind its title. */
const MARK = "data-not-kept";

/** Marks what is added to the page; null while there is a connection. @type {MutationObserver | null} */
let marking = null;
const line = document.createElement("p");

/**
 * Where no worker answers, as with `handbook serve`, a device without a signal lacks nothing.
 * @param {URL} base the address of the site
 */
export async function tellNoSignal(base) {
  if (marking || !navigator.serviceWorker?.controller) return;
  marking = new MutationObserver((changes) => changes.forEach(({ target }) => mark(/** @type {Element} */ (target))));
  const link = document.createElement("a");
  link.href = new URL("kept/", base).href;
  link.textContent = gettext("See what is kept");
  line.className = "hb-no-signal";
  line.setAttribute("role", "status");
  line.replaceChildren(gettext("No signal: only what is kept on this device opens."), " ", link);
  document.querySelector("article")?.prepend(line);
  root.classList.add(WITHOUT_SIGNAL);
  window.addEventListener("online", tellSignal, { once: true });

  const kept = await new KeptFiles(base).addresses().catch(() => /** @type {Set<string>} */ (new Set()));
  const here = pageAt(base, location.href);
  const word = gettext("not kept here");
  /** @param {Element} inside */
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

function tellSignal() {
  marking?.disconnect();
  marking = null;
  line.remove();
  root.classList.remove(WITHOUT_SIGNAL);
}
