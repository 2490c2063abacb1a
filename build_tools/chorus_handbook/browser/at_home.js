// @ts-check
/**
 * Completes the links on the home page by which singers open exercises to practise them at home. It adds
 * the singer's part, for which it asks once, and the key in which each exercise was practised last.
 */

import { practiceOf } from "./practice.js";
import { choosePart, storedKeys, storedPlayback, storedRange } from "./stored_choices.js";
import { gettext } from "./words.js";

/** The home page is at the address of the handbook. */
const handbook = new URL(".", location.href).pathname;
/** The drop-down lists for the singer's part, one for each warm-up that may be the next. All but one are hidden. */
const selects = /** @type {NodeListOf<HTMLSelectElement>} */ (document.querySelectorAll("select[name=home-part]"));
const links = /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll(".hb-way-to-practise"));

/** A link that was tapped before a part was chosen; it is followed as soon as one is. @type {HTMLAnchorElement | null} */
let waiting = null;

/** Adds part and key to all links. The part is stored as well, but not every browser stores anything. @param {string} part "" if none is chosen */
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

/** Shows the stored part, and completes the links with it. */
function show() {
  const part = storedPlayback(handbook).read()?.part ?? storedRange(handbook).read()?.voice ?? "";
  for (const select of selects) {
    if (!select.value && [...select.options].some(({ value }) => value === part)) select.value = part;
  }
  complete(selects[0]?.value ?? part);
}

/** Asks for the singer's part, if a link that needs it is tapped before one was chosen. @param {MouseEvent} event */
function ask(event) {
  const link = /** @type {HTMLAnchorElement} */ (event.currentTarget);
  const wanted = practiceOf(new URL(link.href).search);
  const select = [...selects].find((one) => one.getClientRects().length);
  if (!select || wanted?.part || wanted?.mix === "all") return;
  event.preventDefault();
  waiting = link;
  const status = select.closest(".hb-my-part")?.querySelector("[role=status]");
  if (status) status.textContent = gettext("Which part do you sing? Choose it, and the exercise opens.");
  select.scrollIntoView({ block: "center" });
  select.focus();
  try {
    select.showPicker();
  } catch {
    // This browser cannot open the list by itself; it has the focus, so the reader can.
  }
}

for (const link of links) link.addEventListener("click", ask);
for (const select of selects) {
  select.addEventListener("change", () => {
    for (const other of selects) other.value = select.value;
    if (select.value) choosePart(handbook, select.value);
    complete(select.value);
    for (const status of document.querySelectorAll(".hb-my-part [role=status]")) status.textContent = "";
    if (waiting && select.value) location.assign(waiting.href);
    waiting = null;
  });
}
window.addEventListener("pageshow", show);
show();
