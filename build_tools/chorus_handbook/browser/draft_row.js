// @ts-check
/**
 * One item of a draft as a row of its page: the exercise, when it begins, what the rules for warm-ups
 * say of it, and its fields.
 */

import { STATUS_WORDS, listed, time } from "./finding_sentences.js";
import { plannedPlaces, reachIn } from "./planning.js";
import { gettext, keyName, withSigns } from "./words.js";

/** @import { Slot } from "./clock.js" */
/** @import { Sentences } from "./finding_sentences.js" */
/** @import { Item, Numbers, PlannedItem, Planning } from "./planning.js" */

/**
 * What a row shows of an item; `numbers`, `planned` and `slot` are null if its exercise is not in the
 * handbook.
 * @typedef {object} RowContent
 * @property {number} place from 0
 * @property {Item} item
 * @property {Numbers | null} numbers
 * @property {PlannedItem | null} planned
 * @property {Slot | null} slot
 * @property {string[]} joins sentences about voices that come or leave when it begins
 * @property {string} begins the time of day at which it begins
 * @property {(Sentences & {answer: string})[]} told what the rules say of it
 * @property {string} link to the exercise
 * @property {boolean} open whether its fields are shown
 */

/**
 * The row of an item, as a list item.
 * @param {HTMLTemplateElement} template of a row
 * @param {RowContent} content
 * @param {Planning} planning
 * @returns {HTMLElement}
 */
export function draftRow(template, content, planning) {
  const row = /** @type {HTMLElement} */ (template.content.cloneNode(true)).querySelector("li");
  if (!row) throw new Error("the template has no row");
  const { place, item, numbers, planned, slot, open } = content;
  const title = titleOf(item, numbers);
  row.dataset.place = String(place);
  fill(row, ".hb-order-number", String(place + 1));
  fill(row, ".hb-draft-name", title);
  fill(row, ".hb-draft-facts", planned ? factsOf(content, planning) : gettext("This exercise is not in the handbook any more."));
  const formation = slot?.forms && planned ? (planning.formations[planned.formation] ?? "") : "";
  const moves = place ? gettext("Move: {formation}", { formation }) : gettext("Begin: {formation}", { formation });
  fill(row, ".hb-moves", formation ? moves : "");
  const handle = row.querySelector(".hb-draft-handle");
  handle?.setAttribute("aria-label", gettext("Move {n} {title}: drag it, or use the arrow keys", { n: place + 1, title }));
  const opener = row.querySelector(".hb-draft-open");
  opener?.setAttribute("aria-expanded", String(open));
  row.querySelector(".hb-draft-edit")?.toggleAttribute("hidden", !open);
  row.classList.toggle("hb-if-time", item.if_time !== undefined);
  const notices = row.querySelector(".hb-draft-notices");
  notices?.replaceChildren(...content.told.map(noticeOf));
  const link = row.querySelector("a");
  if (link) link.href = content.link;
  if (!numbers) link?.remove();
  if (open) fillFields(row, content);
  return row;
}

/** What a rule says, as a list item: what is wrong, and what to do, or why it is all right (`answer`). @param {Sentences & {answer?: string}} sentences @returns {HTMLElement} */
export function noticeOf({ message, hint, answer = "" }) {
  const made = document.createElement("li");
  made.classList.toggle("hb-answered", answer !== "");
  const cure = document.createElement("span");
  cure.className = "hb-quiet";
  cure.textContent = hint;
  made.append(message, " ", cure);
  return made;
}

/** The title of an item's exercise; its slug if the exercise is not in the handbook. @param {Item} item @param {Numbers | null} numbers */
export function titleOf(item, numbers) {
  return numbers?.title ?? item.exercise;
}

/** Puts a text into a part of the row, which is hidden if the text is empty. @param {Element} row @param {string} selector @param {string} text */
function fill(row, selector, text) {
  const found = row.querySelector(selector);
  if (!found) return;
  found.textContent = text;
  found.toggleAttribute("hidden", !text);
}

/** The line below the title: when it begins, how long it takes, in which keys it is sung, who steps out, how well it is known. @param {RowContent} content @param {Planning} planning */
function factsOf({ begins, item, joins, numbers, planned }, planning) {
  if (!numbers || !planned) return "";
  const facts = [
    begins,
    time(planned.length),
    keysOf(item, numbers),
    leaving(item, numbers, planned.there, planning),
    ...joins,
    planning.days.length ? STATUS_WORDS[planned.status]() : "",
    item.by ? gettext("by {name}", { name: item.by }) : "",
    item.if_time ? gettext("if there is time") : "",
    item.variation ?? "",
    item.note ?? "",
  ];
  return facts.filter(Boolean).join(" · ");
}

/** The first planned key and the one farthest from it, such as "C–G", whether or not the keys come back from there; "" without keys. @param {Item} item @param {Numbers} numbers */
function keysOf(item, numbers) {
  const { keys = [], tonics = [] } = numbers;
  const places = plannedPlaces(item, numbers);
  if (!places.length) return "";
  const turn = turnOf(places.map((place) => tonics[place]));
  const [first, last] = [keys[places[0]], keys[places[turn]]];
  return first === last ? keyName(first) : `${keyName(first)}–${keyName(last)}`;
}

/** The place, from 0, of the key that is farthest from the first. @param {number[]} tonics as MIDI numbers */
function turnOf(tonics) {
  const far = tonics.map((tonic) => Math.abs(tonic - tonics[0]));
  return far.indexOf(Math.max(...far));
}

/**
 * Which voices stop singing before the last key because it is out of their range, such as "Bass steps
 * out after D"; "" if none does.
 * @param {Item} item
 * @param {Numbers} numbers
 * @param {string[]} there the voices that are present
 * @param {Planning} planning
 */
export function leaving(item, numbers, there, planning) {
  const places = plannedPlaces(item, numbers);
  const voices = Object.keys(numbers.voices ?? {}).filter((name) => there.includes(name));
  return listed(
    voices.flatMap((name) => {
      const out = places.findIndex((place) => !reachIn(numbers, name, place));
      const voice = planning.voices[name].label;
      if (out < 0) return [];
      if (out === 0) return [gettext("without {voice}", { voice })];
      return [gettext("{voice} steps out after {key}", { voice, key: withSigns((numbers.keys ?? [])[places[out - 1]]) })];
    }),
  );
}

/** Fills in the fields of a row that is open. @param {HTMLElement} row @param {RowContent} content */
function fillFields(row, { item, numbers, planned }) {
  for (const name of /** @type {const} */ (["minutes", "formation", "if_time", "keep", "by", "variation", "note"])) {
    const field = row.querySelector(`[name=${name}]`);
    if (field instanceof HTMLInputElement || field instanceof HTMLSelectElement) field.value = String(item[name] ?? "");
  }
  const minutes = row.querySelector("[name=minutes]");
  if (minutes instanceof HTMLInputElement && planned) minutes.placeholder = time(planned.length);
  const choices = numbers ? keyChoices(numbers) : [];
  for (const label of row.querySelectorAll("[data-for=keys]")) label.toggleAttribute("hidden", choices.length < 2);
  if (!numbers || choices.length < 2) return;
  const places = plannedPlaces(item, numbers);
  const { tonics = [] } = numbers;
  const sung = places.map((place) => tonics[place]);
  const chosen = { first: sung[0], last: sung[turnOf(sung)] };
  for (const name of /** @type {const} */ (["first", "last"])) {
    const select = row.querySelector(`[name=${name}]`);
    if (!(select instanceof HTMLSelectElement)) continue;
    select.append(...choices.map(({ key, tonic }) => new Option(withSigns(key), key, false, tonic === chosen[name])));
  }
}

/**
 * The item with what one of the fields in its row says now.
 * @param {Item} item
 * @param {Element} row
 * @param {string} name of the field
 * @param {Numbers | undefined} numbers undefined if its exercise is not in the handbook
 * @returns {Item}
 */
export function changedItem(item, row, name, numbers) {
  const value = (/** @type {string} */ field) => /** @type {HTMLInputElement | null} */ (row.querySelector(`[name=${field}]`))?.value.trim() ?? "";
  const number = Number(value(name));
  if (name === "first" || name === "last") return { ...item, keys: numbers && keysBetween(numbers, value("first"), value("last")) };
  if (name === "minutes") return { ...item, minutes: number > 0 && number <= 30 ? number : undefined };
  if (name === "if_time") return { ...item, if_time: number || undefined };
  return { ...item, [name]: value(name) || undefined };
}

/** The keys of an exercise among which a first and a last can be chosen: all up to the one at which it turns back, if it does. @param {Numbers} numbers */
export function keyChoices({ keys = [], tonics = [] }) {
  return keys.slice(0, tonics.length ? turnOf(tonics) + 1 : 0).map((key, place) => ({ key, tonic: tonics[place] }));
}

/**
 * The value of an item's field `keys` for a first and a last key, as in a warm-up's file: "C4 up to
 * F4"; undefined for all keys of the exercise.
 * @param {Numbers} numbers
 * @param {string} first
 * @param {string} last
 * @returns {string | undefined}
 */
function keysBetween(numbers, first, last) {
  const { tonics = [] } = numbers;
  const choices = keyChoices(numbers);
  const begin = Math.max(0, choices.findIndex(({ key }) => key === first));
  const end = Math.max(begin, choices.findIndex(({ key }) => key === last));
  if (begin === 0 && end === choices.length - 1) return undefined;
  if (begin === end) return choices[begin].key;
  const way = tonics[1] > tonics[0] ? "up" : "down";
  const back = tonics.length > choices.length ? " and back" : "";
  const stride = Math.abs(tonics[1] - tonics[0]) === 2 ? " by whole tones" : "";
  return `${choices[begin].key} ${way} to ${choices[end].key}${back}${stride}`;
}
