// @ts-check
/**
 * Loads the data files of all exercises, which have the same names in every build: were a hash of their
 * content in their addresses, nearly every page would change with every exercise. So the browser is told
 * to ask the site for them, whatever it has stored: files of two builds never mix, and one that has not
 * changed is not loaded again.
 */

import { FACTS } from "./shared_facts.js";

/**
 * A data file (docs/data.md); fails if it cannot be loaded, or is of another version.
 * @param {"index" | "search" | "planning"} name of the file, and of its format
 * @returns {Promise<any>}
 */
export async function stockData(name) {
  const answer = await fetch(new URL(`${name}.json`, import.meta.url), { cache: "no-cache" });
  if (!answer.ok) throw new Error(`${answer.status}`);
  const data = await answer.json();
  if (data.version !== FACTS.formats[name]) throw new Error(`version ${data.version}`);
  return data;
}
