// @ts-check
/** Says which parts of the address of "Find an exercise" are left out, because this handbook does not know them. */

import { gettext, joined, ngettext } from "./words.js";

/** How many parts are named at most, and how many characters of each. */
const MOST = 5;
const LONGEST = 60;
/** Characters that would turn the text around them, or show nothing. */
const UNSHOWN = /[\p{Cc}\u200e\u200f\u202a-\u202e\u2066-\u2069]/gu;

/** The sentence; empty if nothing is left out. @param {string[]} unknown the parts as they were written */
export function leftOut(unknown) {
  if (!unknown.length) return "";
  const named = unknown.slice(0, MOST).map((text) => `“${[...text.replace(UNSHOWN, "")].slice(0, LONGEST).join("")}”`);
  const further = unknown.length - named.length;
  if (further) named.push(ngettext("and {n} more", "and {n} more", further));
  return gettext("Left out, because it is not known here: {unknown}", { unknown: joined(named) });
}
