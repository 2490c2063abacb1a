// @ts-check
/** Finds the titles of pages by their addresses, from the data files of the search. */

import { joinedEntries } from "./search_entries.js";
import { stockData } from "./stock_data.js";

/** The titles, from when they are first needed. @type {Promise<Map<string, string>> | null} */
let loading = null;

/** The titles of all pages, by their addresses below the site; empty if the files cannot be loaded. @returns {Promise<Map<string, string>>} */
export function titlesOfPages() {
  loading ??= load().catch((reason) => {
    console.info("titles:", reason);
    return new Map();
  });
  return loading;
}

/** Loads the files. */
async function load() {
  const [texts, index] = await Promise.all([stockData("search"), stockData("index")]);
  return new Map(joinedEntries(texts, index).map(({ url, title }) => [url, title]));
}

/** The address of a page without a title in readable form: without %-codes. @param {string} address */
export function decoded(address) {
  try {
    return decodeURIComponent(address);
  } catch {
    return address;
  }
}
