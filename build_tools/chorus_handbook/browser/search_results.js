// @ts-check
/**
 * Shows something that the search has found as an item of a list: a link with the title, facts about it
 * such as its impact and goals, and the line of its text that matched.
 */

import { gettext, joined, ngettext } from "./words.js";

/** @typedef {import("./search_index.js").Found} Found */

/** What results call the kinds of pages. @returns {Record<string, string>} */
function kinds() {
  return {
    exercise: gettext("Exercise"),
    list: gettext("List"),
    goal: gettext("Goal"),
    "warm-up": gettext("Warm-up"),
    routine: gettext("Routine"),
    page: gettext("Page"),
  };
}

/**
 * A result as an item of the list of results.
 * @param {Found} found
 * @param {import("./search_index.js").SearchIndex} index
 * @param {Set<string>} terms the stems of the words that were looked for
 * @param {URL} site the address of the site
 */
export function describeFound({ entry, heading, anchor, line }, index, terms, site) {
  const item = document.createElement("li");
  const link = document.createElement("a");
  link.href = new URL(entry.url + (anchor ? `#${encodeURIComponent(anchor)}` : ""), site).href;
  link.append(part("span", "hb-found-title", marked(entry.title, index, terms)));
  const beside = heading && heading !== entry.title ? heading : entry.plain;
  if (beside) link.append(" ", part("span", "hb-plain", marked(beside, index, terms)));
  item.append(link, part("p", "hb-found-facts", [facts(entry, index.labels)]));
  const shown = line || (entry.kind === "exercise" && entry.plain ? "" : entry.summary ?? "");
  if (shown) item.append(part("p", "hb-found-line", marked(shown, index, terms)));
  return item;
}

/**
 * What a query asks of exercises, as a link to all that have it.
 * @param {import("./search_narrowed.js").Narrowed} narrowed
 * @param {((page: string) => boolean) | null} kept whether a page is kept; null while there is a connection
 * @param {URL} site
 */
export function describeNarrowed({ what, address, slugs }, kept, site) {
  const item = document.createElement("li");
  item.className = "hb-found-narrowed";
  const link = document.createElement("a");
  link.href = new URL(address, site).href;
  link.append(part("span", "hb-found-title", [what]));
  const said = [ngettext("{n} exercise has all of this", "{n} exercises have all of this", slugs.length)];
  const here = kept ? slugs.filter((slug) => kept(`exercises/${slug}/`)).length : slugs.length;
  if (here < slugs.length) said.push(gettext("{n} of them kept here", { n: here }));
  item.append(link, part("p", "hb-found-facts", [said.join(" · ")]));
  return item;
}

/** The line of facts: its kind, and for an exercise its impact, level, goals, parts and minutes. @param {Found["entry"]} entry @param {Record<string, Record<string, string>>} labels what readers see of the values of a field */
function facts({ kind, impact, level, goals = [], voices, times }, labels) {
  const said = [kinds()[kind]];
  if (impact) said.push(gettext("impact {n}, {word}", { n: impact, word: labels.impact?.[impact] ?? "" }));
  if (level) said.push(gettext("to learn: {level}", { level: labels.level?.[level] ?? level }));
  if (goals.length) said.push(joined(goals));
  if (voices) said.push(ngettext("{n} part", "{n} parts", voices));
  if (times) said.push(gettext("minutes: {times}", { times }));
  return said.join(" · ");
}

/**
 * A text in which the words that were looked for are marked.
 * @param {string} text
 * @param {import("./search_index.js").SearchIndex} index
 * @param {Set<string>} terms
 */
function marked(text, index, terms) {
  return index.split(text, terms).map(([piece, hit]) => (hit ? part("mark", "", [piece]) : piece));
}

/** A new element with this content. @param {string} tag @param {string} name of its class; "" for none @param {(string | Node)[]} content */
function part(tag, name, content) {
  const element = document.createElement(tag);
  if (name) element.className = name;
  element.append(...content);
  return element;
}
