// @ts-check
/**
 * Searches while a reader types, and shows the pages that are found as links, among which the arrow keys
 * move. `search.js` makes the field and the list; `search_index.js` searches.
 */

import { joinedEntries } from "./search_entries.js";
import { SearchIndex } from "./search_index.js";
import { narrowedBy } from "./search_narrowed.js";
import { describeFound, describeNarrowed } from "./search_results.js";
import { stockData } from "./stock_data.js";
import { keptFirst, keptHere, withoutSignal } from "./without_signal.js";
import { gettext, ngettext } from "./words.js";

const SITE = new URL("../../", import.meta.url);
/** How many results are shown over a page, and how many on the page "Search". */
const FEW = 8;
const MANY = 50;

/** The index of the handbook's words, and the exercises, from when it is first needed. @type {Promise<{index: SearchIndex, rows: import("./conditions.js").Row[]}> | null} */
let loading = null;

/** Loads the handbook's texts and makes the index. */
async function load() {
  const [texts, index] = await Promise.all([stockData("search"), stockData("index")]);
  const data = { language: texts.language, pages: joinedEntries(texts, index), labels: index.words };
  return { index: await SearchIndex.of(data), rows: index.exercises };
}

/**
 * Makes the parts of a search work.
 * @param {{form: HTMLFormElement, field: HTMLInputElement, said: HTMLElement, list: HTMLElement}} parts
 * @param {boolean} whole whether this is the page "Search", whose address has the query
 */
export function work({ form, field, said, list }, whole) {
  let newest = 0;

  /** Searches for what is in the field, and shows what is found. */
  async function show() {
    const turn = (newest += 1);
    const text = field.value.trim();
    if (whole) history.replaceState(null, "", text ? `?${new URLSearchParams({ q: text.slice(0, 500) })}` : location.pathname);
    if (!text) {
      said.textContent = "";
      list.replaceChildren();
      return;
    }
    if (!loading) said.textContent = gettext("Loading …");
    let index, rows;
    try {
      ({ index, rows } = await (loading ??= load()));
    } catch (reason) {
      loading = null; // the next letter tries again
      console.warn("search", reason);
      said.textContent = gettext("The search could not be loaded. Are you online?");
      return;
    }
    if (turn !== newest) return;
    const results = index.search(text);
    const kept = await keptHere();
    if (turn !== newest) return;
    const found = kept ? keptFirst(results.found, ({ entry }) => kept(entry.url)) : results.found;
    const shown = found.slice(0, whole ? MANY : FEW);
    const narrowed = narrowedBy(text, index, rows);
    list.replaceChildren(...(narrowed ? [describeNarrowed(narrowed, kept, SITE)] : []));
    list.append(...shown.map((found) => describeFound(found, index, results.terms, SITE)));
    if (!whole && results.count > shown.length) list.append(linkToAll(results.count));
    said.replaceChildren(...sayWhat(text, results, index, whole ? shown.length : results.count));
  }

  /** The last item of a short list: a link to the page "Search" with all results. @param {number} count how many there are */
  function linkToAll(count) {
    const item = document.createElement("li");
    item.className = "hb-found-all";
    const link = document.createElement("a");
    link.href = `${form.action}?${new URLSearchParams({ q: field.value.trim().slice(0, 500) })}`;
    link.textContent =
      count > MANY ? gettext("More of the {n} pages found", { n: count }) : ngettext("All {n} page found", "All {n} pages found", count);
    item.append(link);
    return item;
  }

  field.addEventListener("input", show);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    list.querySelector("a")?.focus(); // which also puts the keyboard of a phone away
  });
  for (const part of [form, list]) {
    part.addEventListener("keydown", (event) => {
      const step = { ArrowDown: 1, ArrowUp: -1 }[/** @type {KeyboardEvent} */ (event).key];
      if (!step) return;
      const stops = [field, ...list.querySelectorAll("a")];
      const next = stops[stops.indexOf(/** @type {HTMLElement & HTMLInputElement} */ (document.activeElement)) + step];
      if (!next) return;
      event.preventDefault();
      next.focus();
      if (next === field) field.setSelectionRange(field.value.length, field.value.length);
    });
  }
  show();
}

/**
 * The line above the results, which screen readers announce: how many pages were found, or what to try.
 * @param {string} text that was searched for
 * @param {ReturnType<SearchIndex["search"]>} results
 * @param {SearchIndex} index
 * @param {number} shown how many are shown, if there is no link to the others
 * @returns {(string | Node)[]}
 */
function sayWhat(text, { count, cut }, index, shown) {
  const said = [];
  if (cut) said.push(gettext("Only the beginning of your text was searched for."), " ");
  if (withoutSignal()) said.push(document.querySelector(".hb-no-signal")?.textContent ?? "", " ");
  if (count > shown) return [...said, gettext("The {shown} best of {n} pages found", { shown, n: count })];
  if (count) return [...said, ngettext("{n} page found", "{n} pages found", count)];
  said.push(gettext("Nothing found."));
  const near = index.nearest(text);
  if (near.length) {
    said.push(" ", gettext("Similar words:"));
    for (const word of near) said.push(" ", link(`search/?${new URLSearchParams({ q: word })}`, word));
  }
  if (index.pieces.some(({ entry }) => entry.url === "find/")) {
    said.push(" ", gettext("Try one word, or look here:"), " ", link("find/", gettext("Find an exercise")));
  }
  return said;
}

/** A link. @param {string} address below the site @param {string} text */
function link(address, text) {
  const made = document.createElement("a");
  made.href = new URL(address, SITE).href;
  made.textContent = text;
  return made;
}
