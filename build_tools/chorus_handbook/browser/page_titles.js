// @ts-check
/** The titles of pages by their addresses below the site, from the files in which search looks. */

import { joinedEntries } from "./search_entries.js";

/** @type {Promise<Map<string, string>> | null} */
let loading = null;

/** Empty where the files cannot be had. @returns {Promise<Map<string, string>>} */
export function titlesOfPages() {
  loading ??= load().catch((reason) => {
    console.info("titles:", reason);
    return new Map();
  });
  return loading;
}

async function load() {
  const [texts, index] = await Promise.all(
    ["search", "index"].map(async (name) => (await fetch(new URL(`${name}.json`, import.meta.url))).json()),
  );
  return new Map(joinedEntries(texts, index).map(({ url, title }) => [url, title]));
}

/** An address as it is read, where it has no title. @param {string} address */
export function decoded(address) {
  try {
    return decodeURIComponent(address);
  } catch {
    return address;
  }
}
