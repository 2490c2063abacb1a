// @ts-check
/**
 * The page "Find an exercise": a form of facets (goal, impact, voices and so on), the exercises of
 * index.json that meet what is chosen, and beside each further choice how many it would leave. What is
 * chosen stands in the page's address, so that a reader can keep it as a bookmark or send it.
 *
 * `narrowing.js` has the rule, `facet_form.js` the form, `found_rows.js` the list.
 */

import { fit } from "./fitting_lists.js";
import { goTo, keepPlace, keptPlace } from "./find_place.js";
import { check, controls, facetOf, labelOf, openOwnRange, say, sayAnyOf, showCounts } from "./facet_form.js";
import { element, FoundRows } from "./found_rows.js";
import { leftOut } from "./left_out.js";
import { Narrowing, readAddress, writeAddress } from "./narrowing.js";
import { singerOf } from "./own_range_compass.js";
import { statusToday } from "./rotation.js";
import { stockData } from "./stock_data.js";
import { RANGE_EVENT, storedRange } from "./stored_choices.js";
import { viewLines } from "./view_lines.js";
import { keptFirst, keptHere, SIGNAL_EVENT, withoutSignal } from "./without_signal.js";
import { gettext, joined, ngettext } from "./words.js";

/** @import { Listed } from "./fitting_lists.js" */
/** @import { Asked, Facet } from "./narrowing.js" */
/** @import { Singer, Voice } from "./own_range_compass.js" */

/**
 * An exercise as index.json has it (docs/data.md), with two fields that this page adds: `rotation`, how
 * well the chorus knows it today, and `fits`, "yes" if the reader can sing it.
 * @typedef {Listed & Record<string, any> & { summary: string, goals: string[], impact: number, level?: number,
 *   plain?: string, times: string, who: string, key?: string, starts?: string, rotation: string, fits: string }} Found
 */

/**
 * The content of index.json. `words`: what readers see of the values of a field; `log`: the days on which
 * anything, and each exercise, was sung, numbered from 1 January 1970.
 * @typedef {object} Index
 * @property {number} version
 * @property {Record<string, Voice>} voices
 * @property {Record<string, Record<string, string>>} words
 * @property {{ days: number[], sung: Record<string, number[]> }} log
 * @property {Found[]} exercises
 */

/** From this width on, the form stands beside the list (`find.css`). */
const BESIDE = matchMedia("(min-width: 60em)");

/** The reader's own range; null if none is set, undefined while its form has not said so yet. @type {Singer | null | undefined} */
let singer;
document.addEventListener(RANGE_EVENT, (event) => {
  if (event instanceof CustomEvent) singer = event.detail.singer;
});

/** Loads the exercises and makes the page work. @param {HTMLElement} page */
async function setUp(page) {
  /** @type {<T extends Element>(selector: string, kind: new () => T) => T} */
  const part = (selector, kind) => {
    const found = page.querySelector(selector);
    if (!(found instanceof kind)) throw new Error(`${selector} is missing`);
    return found;
  };
  const bar = part(".hb-find-bar", HTMLElement);
  const count = part(".hb-find-count", HTMLElement);
  const open = part(".hb-find-open", HTMLButtonElement);
  const form = part("form", HTMLFormElement);
  const results = part(".hb-found", HTMLElement);
  const dropped = part(".hb-find-dropped", HTMLElement);
  const chosen = part(".hb-asked", HTMLElement);
  const none = part(".hb-find-none", HTMLElement);
  const groups = part(".hb-find-groups", HTMLElement);
  const place = keptPlace();
  const order = part("select[name=order]", HTMLSelectElement);
  const lines = part(".hb-find-lines", HTMLDetailsElement);
  bar.hidden = false;

  /** @type {Index} */
  let index;
  try {
    index = await stockData("index");
  } catch (reason) {
    console.warn("find", reason);
    count.textContent = gettext("The exercises could not be loaded. Try again when you are online, or use a list:");
    open.hidden = true;
    page.classList.add("hb-find-failed");
    return;
  }
  const now = new Date();
  for (const exercise of index.exercises) {
    exercise.rotation = statusToday(index.log.sung[exercise.slug] ?? [], index.log.days, now);
  }
  const places = Object.fromEntries(
    Object.entries(index.words).map(([field, words]) => [
      field,
      Object.fromEntries(Object.keys(words).map((word, place) => [word, place])),
    ]),
  );
  const facets = [...form.querySelectorAll("fieldset")].map(facetOf);
  const orders = [...order.options].map((option) => option.value);
  const taken = { slugs: (page.dataset.taken ?? "").split(" "), titles: JSON.parse(page.dataset.titles ?? "[]") };
  const narrowing = new Narrowing(index.exercises, facets);
  const rows = new FoundRows(
    part(".hb-lists", HTMLElement),
    part(".hb-find-rest", HTMLButtonElement),
    index,
    new URL(page.dataset.exercises ?? "", location.href).href,
  );
  const range = storedRange(new URL("../../", new URL(page.dataset.index ?? "", location.href)).pathname).read();
  if (singer === undefined) {
    const stored = range && singerOf(range, index.voices);
    singer = stored && !("problem" in stored) ? stored : null;
  }

  /** Whether an exercise can be opened now. @type {(exercise: Found) => boolean} */
  let isKept = () => true;

  /** Finds out again which exercises can be opened, because the connection was lost or is back. */
  async function signalChanged() {
    const kept = await keptHere();
    isKept = ({ slug }) => !kept || kept(`exercises/${slug}/`);
    const { shown } = rows;
    show();
    rows.more(shown - rows.shown);
  }

  /** Chooses these values, and no others, both in the form and in `narrowing`. @param {Asked} asked */
  function take(asked) {
    for (const facet of facets) {
      const values = asked.get(facet.field) ?? [];
      check(controls(form, facet), values);
      narrowing.choose(facet, values);
    }
  }

  /** Whether "My range" was chosen before there was one: then the first that is set is chosen. */
  let waiting = false;

  /** Finds out again which exercises the reader can sing. */
  function fitAgain() {
    const facet = facets.find(({ field }) => field === "fits");
    const mine = singer;
    for (const exercise of index.exercises) exercise.fits = mine && fit(exercise, mine).fits ? "yes" : "no";
    if (!facet) return;
    const values = mine && waiting ? facet.choices.map(({ value }) => value) : (mine && narrowing.asked.get("fits")) || [];
    if (mine) waiting = false;
    check(controls(form, facet), values);
    narrowing.choose(facet, values);
  }

  /** Chooses what the address asks for, and says which parts of it are not known in this handbook. */
  function readFromAddress() {
    const { asked, order: sorted, unknown } = readAddress(location.search, facets, orders);
    if (asked.has("fits") && !singer) unknown.push(gettext("“My range”, because no range is set in this browser"));
    order.value = sorted;
    take(asked);
    fitAgain();
    dropped.hidden = !unknown.length;
    dropped.textContent = leftOut(unknown);
    const folded = form.querySelector("details");
    if (folded) folded.open = facets.some((f) => narrowing.asked.has(f.field) && controls(form, f)[0]?.closest("details"));
  }

  /** Shows the exercises that are found, without a connection those first that are kept, and beside each choice how many it would find. */
  function show() {
    const found = narrowing.found(order.value === "title" ? [] : order.value.split(","), places);
    rows.show(keptFirst(found, isKept));
    const all = index.exercises.length;
    const here = found.filter(isKept).length;
    const said = narrowing.asked.size
      ? ngettext("{found} of {n} exercise", "{found} of {n} exercises", all, { found: found.length })
      : ngettext("{n} exercise", "{n} exercises", all);
    say(count, here < found.length ? `${said} · ${gettext("{n} of them kept here", { n: here })}` : said);
    for (const facet of facets) {
      const known = facet.field !== "fits" || singer;
      showCounts(controls(form, facet), narrowing.counts(facet).map((n) => (known ? n : null)));
    }
    showAsked();
    showNone(found.length === 0);
    part(".hb-lists", HTMLElement).hidden = !found.length;
    const text = viewLines(facets, narrowing.asked, order.value, taken);
    lines.hidden = !text || !found.length;
    say(part("pre code", HTMLElement), text);
    part(".hb-find-lines-left", HTMLElement).hidden = facets.every((f) => f.inViews || !narrowing.asked.has(f.field));
  }

  /** A button for each choice, which takes it back, and one for all. */
  function showAsked() {
    const items = facets.flatMap((facet) =>
      (narrowing.asked.get(facet.field) ?? []).map((value) => {
        const bound = facet.kind === "most";
        const label = bound
          ? gettext("{facet}: {value}", { facet: facet.legend, value: labelOf(facet, value) })
          : labelOf(facet, value);
        const button = element("button", { type: "button" }, label);
        button.ariaLabel = gettext("Take back: {value}", { value: label });
        button.append(element("span", { "aria-hidden": "true" }, " ×"));
        button.addEventListener("click", () => leaveOut([facet.field], value));
        return button;
      }),
    );
    if (items.length) {
      const clear = element("button", { type: "button" }, gettext("Start again"));
      clear.addEventListener("click", startAgain);
      items.push(clear);
    }
    const several = facets.filter(({ field }) => narrowing.asked.has(field));
    for (const facet of facets) sayAnyOf(controls(form, facet), narrowing.asked.get(facet.field)?.length ?? 0);
    // Translators: {groups} is such as "Goal, Impact".
    groups.textContent = several.length > 1 ? gettext("Only what fits all of these: {groups}", { groups: joined(several.map(({ legend }) => legend)) }) : "";
    groups.hidden = several.length < 2;
    chosen.hidden = !items.length;
    chosen.replaceChildren(
      ...items.map((button) => {
        const item = element("li");
        item.append(button);
        return item;
      }),
    );
  }

  /** If nothing is found, shows buttons that leave a facet out so that something is. @param {boolean} empty whether nothing is found */
  function showNone(empty) {
    none.hidden = !empty;
    none.replaceChildren();
    if (!empty) return;
    const ways = narrowing.toLeaveOut();
    none.append(
      element("p", {}, ways.length ? gettext("No exercise has all of this. Leave something out:") : gettext("No exercise has all of this.")),
    );
    for (const { fields, count: n } of ways) {
      const what = fields.map((field) => {
        const facet = facets.find((one) => one.field === field);
        return facet ? `${facet.legend} (${joined((narrowing.asked.get(field) ?? []).map((v) => labelOf(facet, v)))})` : field;
      });
      const text = ngettext("Without {what}: {n} exercise", "Without {what}: {n} exercises", n, { what: joined(what) });
      const button = element("button", { type: "button" }, text);
      button.addEventListener("click", () => leaveOut(fields));
      const line = element("p");
      line.append(button);
      none.append(line);
    }
  }

  /**
   * Takes back all values of these facets, or one value.
   * @param {string[]} fields
   * @param {string} [value]
   */
  function leaveOut(fields, value) {
    const asked = new Map(narrowing.asked);
    for (const field of fields) {
      const left = (value && asked.get(field)?.filter((one) => one !== value)) || [];
      if (left.length) asked.set(field, left);
      else asked.delete(field);
    }
    take(asked);
    changed();
    count.focus(); // the button is gone, and the focus must not get lost
  }

  /** Takes back everything, the order too; the browser's "Back" brings it all again. */
  function startAgain() {
    history.pushState(null, "", location.href);
    order.value = orders[0];
    leaveOut(facets.map(({ field }) => field));
  }

  /** Shows a change, and writes it to the address. */
  function changed() {
    dropped.hidden = true;
    history.replaceState(history.state, "", writeAddress(narrowing.asked, order.value, orders) + location.hash);
    show();
  }

  /** Shows or hides the form where it is above the list. @param {boolean} shown */
  function unfold(shown) {
    form.hidden = !shown;
    open.ariaExpanded = String(shown);
    const [narrow, showThem] = open.children;
    narrow.toggleAttribute("hidden", shown);
    showThem.toggleAttribute("hidden", !shown);
  }

  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("keydown", (event) => {
    // Enter chooses as Space does: there is nothing to send
    if (event.key !== "Enter" || !(event.target instanceof HTMLInputElement) || !event.target.closest(".hb-choice")) return;
    event.preventDefault();
    event.target.click();
  });
  form.addEventListener("change", (event) => {
    const control = event.target;
    const facet = facets.find((one) => control instanceof Element && controls(form, one).some((input) => input === control));
    if (!facet) return; // a control of the reader's own range
    if (facet.field === "fits" && !singer && control instanceof HTMLInputElement) {
      control.checked = false;
      waiting = true;
      return openOwnRange(form);
    }
    const values = controls(form, facet).filter((one) => !(one instanceof HTMLInputElement) || one.checked);
    narrowing.choose(facet, values.map((one) => one.value).filter(Boolean));
    changed();
  });
  order.addEventListener("change", changed);
  open.addEventListener("click", () => {
    const shown = form.hidden;
    unfold(shown);
    if (!shown) results.scrollIntoView();
  });
  part(".hb-find-copy", HTMLButtonElement).addEventListener("click", () => void copy());

  async function copy() {
    const status = part(".hb-find-lines [role=status]", HTMLElement);
    const code = part("pre code", HTMLElement);
    try {
      await navigator.clipboard.writeText(code.textContent ?? "");
      status.textContent = gettext("Copied.");
    } catch {
      getSelection()?.selectAllChildren(code);
      status.textContent = gettext("This browser does not copy by itself. The lines are selected: copy them.");
    }
  }
  document.addEventListener(RANGE_EVENT, () => {
    const waited = waiting;
    fitAgain();
    if (waited && !waiting) changed();
    else show();
  });
  window.addEventListener("popstate", () => {
    readFromAddress();
    show();
  });

  readFromAddress();
  unfold((place ? place.open : !narrowing.asked.size) || BESIDE.matches);
  const more = form.querySelector("details");
  if (place && more) more.open = place.more;
  results.hidden = false;
  page.classList.add("hb-find-ready");
  show();
  if (place) {
    rows.more(place.shown - rows.shown);
    goTo(place);
  }
  keepPlace(() => ({ open: !form.hidden, more: more?.open ?? false, shown: rows.shown }));
  document.addEventListener(SIGNAL_EVENT, () => void signalChanged());
  if (withoutSignal()) void signalChanged();
}

for (const page of document.querySelectorAll(".hb-narrowing")) {
  if (page instanceof HTMLElement) void setUp(page);
}
