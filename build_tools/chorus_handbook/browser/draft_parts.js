// @ts-check
/**
 * Makes the music stand, the cue sheet and the strip of a draft. What each exercise contributes to
 * them, its parts, is in a file that `pages/draft_parts.py` makes with the templates of a warm-up's
 * page. This module fetches these files and fills in what depends on the plan.
 */

import { SECOND, timeOfDay } from "./clock.js";
import { listed } from "./finding_sentences.js";
import { plannedPlaces } from "./planning.js";
import { FACTS } from "./shared_facts.js";
import { gettext, joined, ngettext, withSigns } from "./words.js";

/** @import { Slot } from "./clock.js" */
/** @import { Item, Numbers, PlannedItem, Planning } from "./planning.js" */

/**
 * A key of an exercise, as `pages/draft_parts.py` writes it. `tonic` is a note such as "C4", `midi` its
 * number, `name` the key's name on pages. `starts`: the first note of each voice, by name; `notes`: these
 * notes as MIDI numbers. `give` and `fork` say what to give before it, and how to find that from a tuning
 * fork; `older` is the key in which older singers begin instead.
 * @typedef {{tonic: string, midi: number, name: string, starts: Record<string, string>, notes: number[],
 *   give: string, fork: string, older: string}} PartKey
 */
/**
 * The parts of an exercise. `cue` to `also` and `tempo` are texts; `stand`, `log`, `sheet` and `strip` are
 * HTML with places that `filledIn` fills; `staves` has drawings of its first bars by the tonic of each key,
 * and `symbols` the glyphs in them.
 * @typedef {{version: number, keys: PartKey[], cue: string, say: string, steps: string[], also: string[],
 *   stand: string, log: string, sheet: string, strip: string, tempo?: string,
 *   staves?: Record<string, string>, symbols?: Record<string, string>}} Parts
 */

/**
 * One item of a draft, with everything from which its parts are filled in.
 * @typedef {object} PartItem
 * @property {Parts} parts
 * @property {Item} item
 * @property {Numbers} numbers
 * @property {PlannedItem} planned
 * @property {Slot} slot
 * @property {number} number from 1
 * @property {number} begins when the warm-up begins, in minutes since midnight
 * @property {boolean} seated whether the warm-up is a seated one, for older singers
 * @property {string[]} joins sentences about voices that come or leave when it begins
 * @property {string[]} away sentences about voices that are absent during a part of it
 * @property {boolean} again whether it is in a later block, which begins at a time of its own
 * @property {boolean} late whether those who are late come in with it
 * @property {PartItem | null} next the item after it; null for the last
 */

/** Fetches the parts of an exercise; fails without a signal, or if another version of the handbook wrote them. @param {URL} handbook @param {string} slug @returns {Promise<Parts>} */
export async function fetchParts(handbook, slug) {
  const answer = await fetch(new URL(`assets/handbook/${slug}/warm-up.json`, handbook));
  const parts = await answer.json();
  if (parts.version !== FACTS.formats.warm_up_parts) throw new Error("another version");
  return parts;
}

/** The keys in which an item is sung, in that order. @param {PartItem} one @returns {PartKey[]} */
export function plannedKeys({ parts, item, numbers }) {
  return plannedPlaces(item, numbers).map((place) => parts.keys[place]);
}

/**
 * On which note each voice that is present begins in a key: "Soprano and Alto C4, Bass C3". All voices
 * of the exercise are named if none of them is present.
 * @param {PartKey} key
 * @param {string[]} there
 * @param {Planning} planning
 */
export function startingNotes({ starts }, there, planning) {
  /** @type {Map<string, string[]>} */
  const voices = new Map();
  const some = Object.keys(starts).some((name) => there.includes(name));
  for (const [name, note] of Object.entries(starts)) {
    if (!some || there.includes(name)) voices.set(note, [...(voices.get(note) ?? []), planning.voices[name].label]);
  }
  return joined([...voices].map(([note, labels]) => gettext("{voices} {note}", { voices: listed(labels), note })));
}

/**
 * The texts that are filled into an item's parts, by the name of the place they fill; "" where there is
 * nothing to say.
 * @param {PartItem} one
 * @param {Planning} planning
 * @param {string} leaving which voices step out, as `leaving` in `draft_row.js` says it
 * @returns {Record<string, string>}
 */
export function partValues(one, planning, leaving) {
  const { item, planned, slot, number, seated, next } = one;
  const keys = plannedKeys(one);
  const formation = planning.formations[planned.formation] ?? "";
  const older = seated && keys.length ? keys[0].older : "";
  const differ = keys.length && new Set(keys[0].notes.map((note) => note % 12)).size > 1;
  const seconds = Math.floor(slot.begins / SECOND);
  const led = item.by ? gettext("by {name}", { name: item.by }) : "";
  return {
    number: String(number),
    clock: timeOfDay(one.begins, slot.begins),
    offset: one.again ? "" : `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`,
    if_time: item.if_time ? "1" : "",
    keys: keys.length > 1 ? ngettext("{way}, {n} key", "{way}, {n} keys", keys.length, { way: way(keys, ({ tonic }) => withSigns(tonic)) }) : way(keys, ({ tonic }) => withSigns(tonic)),
    short_keys: shortWay(keys),
    older,
    moves: slot.forms ? formation : "",
    voices: [older && gettext("older singers: {key}", { key: older }), leaving, differ ? startingNotes(keys[0], planned.there, planning) : ""].filter(Boolean).join(" · "),
    variation: item.variation ?? "",
    note: item.note ?? "",
    by: item.by ?? "",
    led,
    presence: joined(one.joins),
    leaving,
    about: [formation, led, item.if_time ? gettext("only if there is time") : "", ...one.away, one.late ? gettext("those who are late come in here") : ""].filter(Boolean).join(" · "),
    following: next ? following(next, planning) : "",
    give: keys[0]?.give ?? "",
    fork: keys[0]?.fork ?? "",
  };
}

/** The sentence that announces the next item: "Next: Falling threes. Give E♭." @param {PartItem} next @param {Planning} planning */
function following(next, planning) {
  const { numbers, planned, slot } = next;
  const item = slot.forms ? `${planning.formations[planned.formation]}. ${numbers.title}` : numbers.title;
  const [key] = plannedKeys(next);
  if (!key) return gettext("Next: {item}", { item });
  return gettext("Next: {item}. Give {note}.", { item, note: withSigns(key.tonic).replace(/-?\d+$/, "") });
}

/**
 * Says in words how keys follow one another: "C4 up to G4"; for a single key only its name.
 * @param {PartKey[]} keys
 * @param {(key: PartKey, last: boolean) => string} name how a key is named; `last`: whether it is the
 *   last one sung
 */
function way(keys, name) {
  if (!keys.length) return "";
  if (keys.length === 1) return name(keys[0], true);
  const far = keys.map(({ midi }) => Math.abs(midi - keys[0].midi));
  const turn = far.indexOf(Math.max(...far));
  const values = { first: name(keys[0], false), last: name(keys[turn], turn === keys.length - 1) };
  const [up, back] = [keys[1].midi > keys[0].midi, turn < keys.length - 1];
  if (Math.abs(keys[1].midi - keys[0].midi) === 2) {
    if (back) return up ? gettext("{first} up to {last} and back by whole tones", values) : gettext("{first} down to {last} and back by whole tones", values);
    return up ? gettext("{first} up to {last} by whole tones", values) : gettext("{first} down to {last} by whole tones", values);
  }
  if (back) return up ? gettext("{first} up to {last} and back", values) : gettext("{first} down to {last} and back", values);
  return up ? gettext("{first} up to {last}", values) : gettext("{first} down to {last}", values);
}

/** The same for narrow columns: without octaves, and as "C–G" where the keys go up by semitones. @param {PartKey[]} keys */
function shortWay(keys) {
  const steps = keys.slice(1).map(({ midi }, place) => midi - keys[place].midi);
  const last = keys[keys.length - 1]?.name ?? "";
  const letter = (/** @type {PartKey} */ { tonic }) => withSigns(tonic).replace(/-?\d+$/, "");
  const range = `${keys.length ? letter(keys[0]) : ""}–${last}`;
  if (steps.length && steps.every((step) => step === 1)) return range;
  if (steps.length && steps.every((step) => step === 2)) return gettext("{keys} by whole tones", { keys: range });
  return way(keys, (key, isLast) => (isLast ? last : letter(key)));
}

/**
 * A part as an element, with its places filled in. An element marked `data-optional` goes if its value
 * is empty.
 * @param {string} html made by our own templates, which escape every text of an author
 * @param {Record<string, string>} values as `partValues` gives them
 * @returns {HTMLElement}
 */
export function filledIn(html, values) {
  const template = document.createElement("template");
  template.innerHTML = html;
  for (const part of template.content.querySelectorAll("[data-optional]")) {
    if (!values[part.getAttribute("data-optional") ?? ""]) part.remove();
  }
  for (const part of template.content.querySelectorAll("[data-plan]")) {
    part.replaceWith(values[part.getAttribute("data-plan") ?? ""] ?? "");
  }
  return /** @type {HTMLElement} */ (template.content.firstElementChild);
}

/** The screen of an item on the stand. @param {PartItem} one @param {Record<string, string>} values @param {Planning} planning */
export function standScreen(one, values, planning) {
  const screen = filledIn(one.parts.stand, values);
  const keys = plannedKeys(one);
  screen.dataset.keys = JSON.stringify(keys.map(({ tonic, midi, name, notes, ...key }) => ({ tonic, midi, name, notes, starts: startingNotes({ tonic, midi, name, notes, ...key }, one.planned.there, planning) })));
  const away = Object.keys(one.numbers.voices ?? {}).filter((name) => !one.planned.there.includes(name));
  screen.dataset.absent = away.length < Object.keys(one.numbers.voices ?? {}).length ? away.join(" ") : "";
  if (keys.length) {
    for (const [name, text] of [["name", keys[0].name], ["notes", startingNotes(keys[0], one.planned.there, planning)]]) {
      const shown = screen.querySelector(`.hb-stand-${name}`);
      if (shown) shown.textContent = text;
    }
  }
  if (keys.length < 2) screen.querySelector(".hb-stand-next-key")?.remove();
  const wording = screen.querySelector(".hb-stand-seated");
  if (one.seated && wording) {
    const step = Object.assign(document.createElement("li"), { textContent: wording.textContent });
    screen.querySelector(".hb-stand-steps")?.prepend(step);
  }
  return screen;
}

/** The line of an item in the log at the end of the stand, where the leader marks what was sung. @param {PartItem} one */
export function logLine(one) {
  const line = filledIn(one.parts.log, {});
  const tonics = plannedKeys(one).map(({ tonic }) => tonic);
  for (const option of line.querySelectorAll("[name=top] option")) {
    const tonic = option.getAttribute("value") ?? "";
    if (tonic && !tonics.includes(tonic)) option.remove();
  }
  if (tonics.length < 2) line.querySelector("[name=top]")?.remove();
  return line;
}
