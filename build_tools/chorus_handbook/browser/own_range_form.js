// @ts-check
/**
 * The form "Your own range", in which a singer sets the lowest and highest note they sing. It stands
 * above lists, which it can limit to what fits, and beside the chart of an exercise's keys (its ladder),
 * where it adds a row "You".
 *
 * A change takes effect at once, is stored only in this browser, and can be removed with one tap.
 */

import { limitLists } from "./fitting_lists.js";
import { noteName, singerOf } from "./own_range_compass.js";
import { showOwnRow } from "./own_range_row.js";
import { stockData } from "./stock_data.js";
import { choosePart, RANGE_EVENT, storedRange } from "./stored_choices.js";
import { gettext, inside, ngettext, pgettext } from "./words.js";

/** @import { Listed } from "./fitting_lists.js" */
/** @import { Ladder } from "./ladder.js" */
/** @import { NoteTone } from "./range_finder.js" */
/** @import { OwnRange, Singer, Voice } from "./own_range_compass.js" */

/**
 * The data for the form: those in an exercise page (with `ladder`), or index.json (with `exercises`).
 * @typedef {object} Data
 * @property {number} version
 * @property {Record<string, Voice>} voices
 * @property {Ladder} [ladder]
 * @property {Listed[]} [exercises]
 */

/** A3, which every kind of voice can sing: the search begins there if no voice is chosen. Our choice. */
const ANY_VOICE = 57;
/** @type {("lowest" | "highest")[]} */
const ENDS = ["lowest", "highest"];
/** @type {{ lowest: "limit_low", highest: "limit_high" }} */
const LIMIT_AT = { lowest: "limit_low", highest: "limit_high" };

/**
 * Makes a form work, and shows what is stored.
 * @param {HTMLElement} box
 */
export function setUp(box) {
  const index = new URL(box.dataset.index ?? "", location.href);
  const handbook = new URL("../../", index).pathname;
  const store = storedRange(handbook);
  /** @type {<T extends Element>(selector: string, kind: new () => T) => T} */
  const part = (selector, kind) => {
    const found = box.querySelector(selector);
    if (!(found instanceof kind)) throw new Error(`${selector} is missing`);
    return found;
  };
  const summary = part("summary", HTMLElement);
  const isSet = part(".hb-own-set", HTMLElement);
  const status = part(".hb-own-status", HTMLElement);
  const clear = part(".hb-own-clear", HTMLButtonElement);
  const voice = part("select[name=voice]", HTMLSelectElement);
  const notes = {
    lowest: part("select[name=lowest]", HTMLSelectElement),
    highest: part("select[name=highest]", HTMLSelectElement),
  };
  const fitting = box.querySelector(".hb-fitting");
  const only = box.querySelector(".hb-fitting input");
  /** @type {[number, number]} */
  const reach = [Number(box.dataset.lowest), Number(box.dataset.highest)];
  for (const end of ENDS) {
    for (let midi = reach[0]; midi <= reach[1]; midi += 1) {
      notes[end].add(new Option(noteName(midi), String(midi)));
    }
  }

  /** @type {Promise<Data> | null} */
  let requested = null;
  /** The page's own data, or the index, loaded when first needed. */
  function data() {
    const inline = box.querySelector("script[type='application/json']")?.textContent;
    requested ??= (inline ? Promise.resolve(JSON.parse(inline)) : stockData("index")).catch((reason) => {
      requested = null; // so that the next try loads it again
      throw reason;
    });
    return requested;
  }

  /** The range that the form has now. @returns {OwnRange} */
  function written() {
    const [lowest, highest] = ENDS.map((end) => (notes[end].value ? Number(notes[end].value) : null));
    return { voice: voice.value || null, lowest, highest };
  }

  /** Puts a range into the form. @param {OwnRange} range */
  function write(range) {
    voice.value = range.voice ?? "";
    if (voice.selectedIndex < 0) voice.value = ""; // a voice that the chorus no longer has
    for (const end of ENDS) {
      const value = range[end] === null ? "" : String(range[end]);
      // The note was set while the chorus had other ranges, so the form does not offer it.
      if (![...notes[end].options].some((option) => option.value === value)) {
        notes[end].add(new Option(noteName(Number(value)), value));
      }
      notes[end].value = value;
    }
  }

  /** Shows what is stored: in the form, the charts and the lists. */
  async function show() {
    const range = store.read();
    if (!range && !requested) return;
    const { voices, ladder, exercises } = await data();
    const found = range && singerOf(range, voices);
    const singer = found && !("problem" in found) ? found : null;
    write(singer && range ? range : { voice: null, lowest: null, highest: null });
    for (const end of ENDS) {
      const theirs = voices[voice.value];
      notes[end].options[0].text = theirs
        ? gettext("{note} as {voice}", { note: noteName(theirs.compass[LIMIT_AT[end]]), voice: inside(theirs.label) })
        : pgettext("a note", "not set");
    }
    // Translators: follows "Your own range"; {singer} is such as "alto, G3 to D5".
    isSet.textContent = singer ? gettext(": {singer}", { singer: inWords(singer, voices) }) : "";
    clear.hidden = !singer;
    document.dispatchEvent(new CustomEvent(RANGE_EVENT, { detail: { singer } }));
    const charts = box.closest(".hb-exercise")?.querySelector(".hb-ladder");
    if (charts && ladder) showOwnRow(charts, ladder, singer, voices);
    if (exercises && fitting instanceof HTMLElement && only instanceof HTMLInputElement) {
      only.checked = Boolean(singer && range?.only_fitting);
      const count = limitLists(exercises, singer, only.checked);
      fitting.hidden = !singer;
      tellCount(fitting, count, singer && only.checked ? inWords(singer, voices) : "");
    }
    // Lists that wait (before_paint.js) show when they have been laid out: nothing is seen to move.
    requestAnimationFrame(() =>
      requestAnimationFrame(() => document.documentElement.classList.remove("hb-range-stored")),
    );
  }

  /** Stores and shows what is set in the form, unless something is wrong with it. */
  async function take() {
    const { voices } = await data();
    const range = written();
    const found = singerOf(range, voices);
    if (found && "problem" in found) {
      status.textContent = gettext("{problem} Until then nothing changes.", { problem: found.problem });
      return;
    }
    if (!found) return forget();
    store.save({ ...range, only_fitting: store.read()?.only_fitting ?? false });
    choosePart(handbook, found.voice);
    status.textContent = store.lasting
      ? gettext("Stored in this browser and nowhere else.")
      : gettext("This browser stores nothing for this site, so your range applies to this page only.");
    await show();
  }

  async function forget() {
    store.clear();
    status.textContent = gettext("Your range is cleared.");
    await show();
  }

  /** @type {AudioContext | null} */
  let context = null;
  /** @type {NoteTone | null} */
  let tone = null;
  /** The range finder and its tone; null if the browser cannot sound notes. Must be called while a tap is handled. */
  async function finder() {
    if (!("AudioContext" in window)) return null;
    context ??= new AudioContext();
    void context.resume();
    const module = await import("./range_finder.js").catch(() => null);
    if (!module) return null;
    tone ??= new module.NoteTone(context);
    return { tone, findRange: module.findRange };
  }

  /** Sounds the note at an end of the range, if it is set. @param {"lowest" | "highest"} end */
  async function sound(end) {
    if (notes[end].value) (await finder())?.tone.sound(Number(notes[end].value));
  }

  async function find() {
    const ready = await finder();
    if (!ready) {
      status.textContent = gettext("This browser cannot play the notes here. Use a piano instead.");
      return;
    }
    const theirs = (await data()).voices[voice.value]?.compass;
    const start = theirs ? Math.round((theirs.comfortable_low + theirs.comfortable_high) / 2) : ANY_VOICE;
    ready.findRange(part(".hb-finder", HTMLElement), ready.tone, start, reach, (lowest, highest) => {
      notes.lowest.value = String(lowest);
      notes.highest.value = String(highest);
      void take().catch(failed);
    });
  }

  /** Tells the reader that something could not be loaded. @param {unknown} reason */
  function failed(reason) {
    console.warn("own range", reason);
    document.documentElement.classList.remove("hb-range-stored");
    status.textContent = gettext("The ranges could not be loaded. Try again when you are online.");
  }

  voice.addEventListener("change", () => void take().catch(failed));
  for (const end of ENDS) {
    notes[end].addEventListener("change", () => {
      void sound(end);
      void take().catch(failed);
    });
  }
  part(".hb-find", HTMLButtonElement).addEventListener("click", () => void find().catch(failed));
  for (const button of /** @type {NodeListOf<HTMLElement>} */ (box.querySelectorAll("[data-by]"))) {
    button.addEventListener("click", () => {
      const end = button.dataset.end === "lowest" ? "lowest" : "highest";
      void (async () => {
        const sounds = finder(); // within the tap
        const { voices } = await data();
        const from = written()[end] ?? voices[voice.value]?.compass[LIMIT_AT[end]];
        const to = from === undefined ? Math.round((reach[0] + reach[1]) / 2) : from + Number(button.dataset.by);
        notes[end].value = String(Math.min(Math.max(to, reach[0]), reach[1]));
        (await sounds)?.tone.sound(Number(notes[end].value));
        await take();
      })().catch(failed);
    });
  }
  clear.addEventListener("click", () => {
    void forget().catch(failed);
    summary.focus(); // the button is hidden, and the focus must not get lost
  });
  only?.addEventListener("change", () => {
    const range = store.read();
    if (range && only instanceof HTMLInputElement) store.save({ ...range, only_fitting: only.checked });
    void show().catch(failed);
  });
  fitting?.addEventListener("click", (event) => {
    if (!(event.target instanceof HTMLButtonElement) || !(only instanceof HTMLInputElement)) return;
    only.click();
    only.focus();
  });
  // Another page of the handbook may have changed the stored range.
  window.addEventListener("pageshow", (event) => event.persisted && void show().catch(failed));
  window.addEventListener("storage", () => void show().catch(failed));
  void show().catch(failed);
}

/**
 * A singer in words: "alto, G3 to D5".
 * @param {Singer} singer
 * @param {Record<string, Voice>} voices
 */
function inWords(singer, voices) {
  const { limit_low: low, limit_high: high } = singer.compass;
  return gettext("{voice}, {lowest} to {highest}", {
    voice: inside(voices[singer.voice].label),
    lowest: noteName(low),
    highest: noteName(high),
  });
}

/**
 * Says how many lines of the lists fit.
 * @param {HTMLElement} fitting the part of the form that limits lists
 * @param {{ fitting: number, all: number }} count
 * @param {string} limitedTo the singer in words where the list is limited; printed with it
 */
function tellCount(fitting, count, limitedTo) {
  const status = fitting.querySelector("[role=status]");
  if (status) status.textContent = ngettext("{fitting} of {n} fits.", "{fitting} of {n} fit.", count.all, { fitting: count.fitting });
  const who = fitting.querySelector(".hb-fitting-who");
  if (who) who.textContent = limitedTo && gettext("Only what fits {singer}.", { singer: limitedTo });
  fitting.querySelector(".hb-empty")?.toggleAttribute("hidden", !limitedTo || count.fitting > 0);
}
