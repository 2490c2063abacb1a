// @ts-check
/**
 * "We start late" and "Voices tonight" on the page of a warm-up: its running order as it is sung
 * tonight, the music stand that leads through it, and a link that opens it as a draft, with prints and
 * file. Nothing is stored.
 */

import { clockOf } from "./attendance.js";
import { timeOfDay, timetable } from "./clock.js";
import { PlanParts } from "./draft_items.js";
import { read, written } from "./draft_link.js";
import { startingNotes } from "./draft_parts.js";
import { time } from "./finding_sentences.js";
import { plannedPlaces, runningOrder } from "./planning.js";
import { Tonight } from "./tonight.js";
import { changeFor, makePanelWork, tell } from "./tonight_panel.js";
import { openTonight } from "./tonight_stand.js";
import { gettext, keyName, ngettext } from "./words.js";

/** @import { Item, Plan, Planning } from "./planning.js" */
/** @import { Shown } from "./tonight_stand.js" */

/** Makes the panel work. The exercises are loaded at the first tap. @param {HTMLElement} panel */
function start(panel) {
  const change = document.querySelector("a.hb-change");
  if (!(change instanceof HTMLAnchorElement)) return;
  const { plan } = read(change.hash.slice(1)); // all that the file of this warm-up says
  const parts = new PlanParts(new URL(panel.dataset.handbook ?? "", location.href));
  const planned = document.querySelector("ol.hb-order");
  document.querySelector(".hb-late")?.setAttribute("hidden", "");
  /** @type {Promise<Planning> | null} */
  let loading = null;
  /** What is shown in place of what was planned; null if that is shown. @type {Shown | null} */
  let shown = null;
  let taps = 0;
  makePanelWork(panel, () => plan.minutes, async (choice) => {
    const tap = ++taps;
    try {
      loading ??= load(panel.dataset.planning ?? "");
      const planning = await loading;
      if (tap !== taps) return;
      shown = choice.late || choice.voices ? { written: plan, choice, planning, changed: changeFor(plan, planning, choice) } : null;
      show(panel, planned, shown, parts);
    } catch {
      loading = null;
      if (tap === taps) tell(panel, [gettext("The exercises could not be loaded. Try again when there is a signal.")]);
    }
  });
  // Before the page's own stand hears of it, which leads through what was planned.
  document.addEventListener("click", (event) => {
    const view = event.target instanceof HTMLElement ? event.target.dataset.open : "";
    if (!shown || (view !== "stand" && view !== "notice")) return;
    event.stopPropagation();
    const asPlanned = () => {
      shown = null;
      panel.querySelector("button[data-tonight=undo]")?.dispatchEvent(new MouseEvent("click", { bubbles: true }));
      document.querySelector("button[data-open=stand]")?.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    };
    openTonight(view, shown, parts, asPlanned).catch(() => {
      tell(panel, [...(shown?.changed.told ?? []), gettext("Tonight’s order could not be loaded for the stand. Try again when there is a signal, or tap “As planned”.")]);
    });
  }, true);
}

/** Loads what planning needs to know of all exercises. @param {string} address @returns {Promise<Planning>} */
async function load(address) {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(address);
  return answer.json();
}

/**
 * Shows the running order as it is sung tonight in place of the planned one, or the planned one again.
 * @param {HTMLElement} panel
 * @param {Element | null} planned the list of the items as planned
 * @param {Shown | null} shown null to show what was planned
 * @param {PlanParts} parts
 */
function show(panel, planned, shown, parts) {
  document.querySelector(".hb-tonight-order")?.remove();
  planned?.toggleAttribute("hidden", shown !== null);
  for (const part of document.querySelectorAll(".hb-as-planned")) part.toggleAttribute("hidden", shown === null);
  if (!shown) return tell(panel, []);
  const { changed, planning } = shown;
  planned?.after(orderOf(changed.plan, changed.places, planning, parts));
  tell(panel, changed.told);
  const link = panel.querySelector("a.hb-tonight-open");
  if (link instanceof HTMLAnchorElement) link.hash = written(changed.plan);
}

/**
 * The running order as a list like the page's own.
 * @param {Plan} plan as it is sung tonight
 * @param {number[]} places for each of its items, its place in the plan of the page, from 0
 * @param {Planning} planning
 * @param {PlanParts} parts
 */
function orderOf(plan, places, planning, parts) {
  const list = document.createElement("ol");
  list.className = "hb-order hb-tonight-order";
  const tonight = new Tonight(plan, planning);
  const order = runningOrder(plan, planning);
  timetable(order.items).forEach((slot, n) => {
    const item = plan.items[n];
    const row = document.createElement("li");
    const title = element("p", "hb-order-title", "");
    const link = document.createElement("a");
    link.href = new URL(`exercises/${item.exercise}/`, parts.handbook).href;
    link.textContent = order.items[n].title;
    title.append(element("span", "hb-order-number", String(places[n] + 1)), " ", link);
    const keys = tonight.tonics(item).length;
    const facts = [keysOf(tonight, item), keys > 1 ? ngettext("{n} key", "{n} keys", keys) : "", time(slot.ends - slot.begins), item.by ? gettext("by {name}", { name: item.by }) : ""];
    const quiet = element("p", "hb-quiet", facts.filter(Boolean).join(" · "));
    const body = element("div", "hb-order-item", "");
    body.append(title, quiet, ...[item.variation, item.note].filter(Boolean).map((text) => element("p", "", text ?? "")));
    void addStart(quiet, item, order.items[n].there, planning, parts);
    row.append(element("span", "hb-order-time", timeOfDay(clockOf(plan.starts), slot.begins)), body);
    list.append(row);
  });
  return list;
}

/**
 * Adds the notes on which the voices begin an item, and its cue word, as soon as they are loaded.
 * Without a signal the rest of the running order still stands.
 * @param {Element} facts
 * @param {Item} item
 * @param {string[]} there
 * @param {Planning} planning
 * @param {PlanParts} parts
 */
async function addStart(facts, item, there, planning, parts) {
  try {
    const { keys, cue } = await parts.partsOf(item.exercise);
    const [first] = plannedPlaces(item, planning.exercises[item.exercise]);
    if (keys[first]) facts.before(element("p", "hb-order-keys", gettext("Starting notes: {starts}.", { starts: startingNotes(keys[first], there, planning) })));
    if (cue) facts.append(` · ${gettext("cue word: {cue}", { cue })}`);
  } catch {
    facts.append(` · ${gettext("starting notes: on the exercise’s page")}`);
  }
}

/** The first key of an item, and the last one or the one at which it turns back: "C to E♭". @param {Tonight} tonight @param {Item} item */
function keysOf(tonight, item) {
  const { tonics = [], keys = [] } = tonight.numbers(item.exercise);
  const row = tonight.tonics(item);
  if (!row.length) return "";
  const back = row.length > 2 && row[0] === row[row.length - 1];
  const turn = row[back ? Math.floor(row.length / 2) : row.length - 1];
  const [first, last] = [row[0], turn].map((key) => keyName(keys[tonics.indexOf(key)]));
  return first === last ? first : gettext("{first} to {last}", { first, last });
}

/** A new element with a class and a text. @param {string} name @param {string} className @param {string} text */
function element(name, className, text) {
  const made = document.createElement(name);
  made.className = className;
  made.textContent = text;
  return made;
}

for (const panel of document.querySelectorAll(".hb-tonight")) {
  if (panel instanceof HTMLElement && panel.dataset.planning) start(panel);
}
