// @ts-check
/**
 * The page that lists what is kept on this device for reading without a signal, with buttons to remove
 * it. A reader who asks for a page that is not kept, while there is no connection, is sent here too.
 */

import { KeepControl, megabytes } from "./keep_control.js";
import { allKept, KeepError, KeptFiles, pageAt } from "./kept_files.js";
import { decoded, titlesOfPages } from "./page_titles.js";
import { gettext, ngettext } from "./words.js";

/** @import { Asked, Kept } from "./kept_files.js" */

const base = new URL("../../", import.meta.url);
const kept = new KeptFiles(base);
const box = /** @type {HTMLElement} */ (document.querySelector(".hb-kept"));
const [missing, told, list, everything, opened] = ["missing", "told", "list", "everything", "opened"].map(
  (name) => /** @type {HTMLElement} */ (document.querySelector(`.hb-kept-${name}`)),
);

/** How often a page that is missing is asked for again, in milliseconds (our choice). */
const AGAIN_MS = 5000;

/** Opens a page, if the site answers with it. @param {string} address */
async function openIfThere(address) {
  const answer = await fetch(address, { method: "HEAD", cache: "no-cache" }).catch(() => null);
  if (answer?.ok) location.replace(address);
}

/** Says which page was asked for that is not kept, if the address names one. */
async function tellMissing() {
  const page = pageAt(base, new URL(new URLSearchParams(location.search).get("missing") ?? "", base).href);
  if (!new URLSearchParams(location.search).has("missing") || page === null) return;
  const link = document.createElement("a");
  link.href = new URL(page, base).href;
  link.textContent = gettext("Try again");
  window.addEventListener("online", () => location.replace(link.href), { once: true });
  setInterval(() => void openIfThere(link.href), AGAIN_MS); // the browser may think that it is online already
  const title = (await titlesOfPages()).get(page) ?? decoded(page);
  const heading = document.querySelector("h1");
  const above = gettext("“{title}” is not kept on this device", { title });
  if (heading) heading.textContent = above;
  document.title = above;
  const [text, offer] = [document.createElement("p"), document.createElement("p")];
  text.append(gettext("There is no connection. The page opens as soon as there is one."), " ", link);
  offer.textContent = gettext("What is kept is below.");
  missing.replaceChildren(text, offer);
  missing.hidden = false;
}

/** Shows all that is kept. */
async function show() {
  try {
    const found = await kept.read();
    told.textContent = found.full ? gettext("There was no room for the pages you opened last.") : "";
    list.replaceChildren(...found.requests.filter(({ everything }) => !everything).map(row));
    await showOpened(found);
    const used = await kept.size();
    told.append(" ", gettext("In all, {used} are kept on this device.", { used: megabytes(used) }));
    const estimate = await navigator.storage?.estimate?.().catch(() => null);
    if (estimate?.quota) told.append(" ", gettext("The browser would give this site {room} more.", { room: megabytes(estimate.quota - used) }));
  } catch (reason) {
    told.textContent = reason instanceof KeepError ? reason.message : String(reason);
  }
}

/** The list item for a request: a link to its page, and the button that removes it. @param {Asked} asked */
function row(asked) {
  const [item, link, place] = [document.createElement("li"), document.createElement("a"), document.createElement("div")];
  link.href = new URL(asked.page, base).href;
  link.textContent = asked.title;
  place.className = "hb-keep";
  item.append(link, place);
  control(place, asked, gettext("Keep on this device"));
  return item;
}

/** Puts a button that keeps or removes something into a place on the page. @param {HTMLElement} place @param {Pick<Asked, "page" | "title" | "pages" | "everything">} asked @param {string} label of the button */
function control(place, asked, label) {
  const made = new KeepControl(place, kept, asked, label);
  made.onChange = () => void show();
  made.look().catch(() => {}); // told above
}

/** Lists the pages that are kept because they were opened. @param {Kept} found */
async function showOpened({ opened: pages, requests }) {
  const remove = document.createElement("button");
  remove.type = "button";
  remove.className = "md-button";
  remove.textContent = ngettext("Remove the page you opened last", "Remove the last {n} pages you opened", pages.length);
  remove.addEventListener("click", () => void kept.remove(null).then(show));
  const titles = pages.length ? await titlesOfPages() : new Map();
  const links = [...pages].reverse().flatMap((page) => (titles.has(page) ? [[new URL(page, base).href, titles.get(page)]] : []));
  const [text, titled] = [document.createElement("p"), document.createElement("ul")];
  text.textContent = ngettext("The page you opened last is kept.", "The last {n} pages you opened are kept.", pages.length);
  titled.append(
    ...links.map(([address, title]) => {
      const [item, link] = [document.createElement("li"), document.createElement("a")];
      link.href = address;
      link.textContent = title;
      item.append(link);
      return item;
    }),
  );
  opened.replaceChildren(...(pages.length && !allKept({ requests }) ? [text, titled, remove] : []));
}

box.hidden = false;
void tellMissing();
control(everything, { page: "", title: "", pages: [], everything: true }, everything.dataset.label ?? "");
void show();
