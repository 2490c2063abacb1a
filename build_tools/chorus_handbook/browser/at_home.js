// @ts-check
/**
 * Completes the links on the home page that open exercises to be practised: with the singer's part,
 * for which it asks once, and the key in which each was practised last.
 */

import { choosePart, storedKeys, storedPlayback, storedRange } from "./stored_choices.js";

/** The home page is at the address of the handbook. */
const handbook = new URL(".", location.href).pathname;
/** The choices of a part, one for each warm-up that may be the next. All but one are hidden. */
const selects = /** @type {NodeListOf<HTMLSelectElement>} */ (document.querySelectorAll("select[name=home-part]"));
const links = /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll(".hb-way-to-practise"));

/** The part is in the links too, for browsers that store nothing. @param {string} part "" where none is chosen */
function complete(part) {
  const keys = new Map(storedKeys(handbook).read()?.keys);
  for (const link of links) {
    const address = new URL(link.href);
    /** @type {(name: string, value: string) => void} */
    const set = (name, value) => (value ? address.searchParams.set(name, value) : address.searchParams.delete(name));
    set("part", part);
    set("key", keys.get(link.dataset.slug ?? "") ?? "");
    link.href = address.href;
  }
}

function show() {
  const part = storedPlayback(handbook).read()?.part ?? storedRange(handbook).read()?.voice ?? "";
  for (const select of selects) {
    if (!select.value && [...select.options].some(({ value }) => value === part)) select.value = part;
  }
  complete(selects[0]?.value ?? part);
}

for (const select of selects) {
  select.addEventListener("change", () => {
    for (const other of selects) other.value = select.value;
    if (select.value) choosePart(handbook, select.value);
    complete(select.value);
  });
}
window.addEventListener("pageshow", show);
show();
