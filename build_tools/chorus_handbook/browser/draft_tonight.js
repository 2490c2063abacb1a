// @ts-check
/**
 * On the page on which a warm-up is put together: swaps for each item, "We start late", "Voices
 * tonight", and how the warm-up falls on the voices. This module asks the page for another plan by
 * `CHANGE_EVENT`, so that "Undo" knows it, too.
 */

import { time } from "./finding_sentences.js";
import { planLoad } from "./load.js";
import { Tonight } from "./tonight.js";
import { LET_GO_EVENT, changeFor, makePanelWork, tell } from "./tonight_panel.js";
import { reasonWords } from "./tonight_words.js";
import { gettext } from "./words.js";

/** @import { Item, Plan, Planning, RunningOrder } from "./planning.js" */
/** @import { Swap, Wish } from "./swaps.js" */

/** What the page shows. @typedef {{plan: Plan, order: RunningOrder, planning: Planning}} Shown */

/** The event that asks the page to show another plan; `detail: {plan, said}`. */
export const CHANGE_EVENT = "handbook:change-draft";

/** What may be asked for, but for doing without a voice. @type {[Wish | null, () => string][]} */
const WISHES = [
  [null, () => gettext("Anything")],
  ["easier", () => gettext("Easier")],
  ["shorter", () => gettext("Shorter")],
  ["gentler", () => gettext("Gentler")],
  ["seated", () => gettext("Seated")],
  ["rested", () => gettext("Not sung lately")],
];

/** @type {Shown | null} */
let shown = null;
/** The plan as it was before it was changed for tonight, and as it was changed. @type {{before: Plan, after: Plan} | null} */
let changed = null;

/** @param {Plan} plan @param {string} said */
function change(plan, said) {
  document.dispatchEvent(new CustomEvent(CHANGE_EVENT, { detail: { plan, said } }));
}

/** Called whenever the page shows a plan. @param {Shown} now */
export function showTonight(now) {
  shown = now;
  const known = now.plan.items.every(({ exercise }) => Object.hasOwn(now.planning.exercises, exercise));
  const panel = document.querySelector(".hb-draft .hb-tonight");
  if (panel instanceof HTMLElement) panel.hidden = !known || !now.plan.items.length;
  // Whoever has changed something else since keeps that; the buttons begin again from what there is.
  if (changed && JSON.stringify(now.plan) !== JSON.stringify(changed.after)) {
    changed = null;
    if (panel instanceof HTMLElement) letGo(panel);
  }
  const left = panel?.querySelector("[name=left]");
  if (left instanceof HTMLSelectElement) {
    for (const option of left.options) option.disabled = Number(option.value) >= now.plan.minutes;
    if (left.selectedOptions[0]?.disabled) left.value = [...left.options].filter(({ disabled }) => !disabled).pop()?.value ?? "";
  }
  for (const row of document.querySelectorAll(".hb-draft-item")) if (known) offerSwap(row);
  showLoad(now, known);
}

/** @param {HTMLElement} panel */
function letGo(panel) {
  tell(panel, []);
  panel.dispatchEvent(new CustomEvent(LET_GO_EVENT));
}

/** @param {HTMLElement} panel */
function start(panel) {
  makePanelWork(panel, () => (changed?.before ?? shown?.plan)?.minutes ?? 0, (choice) => {
    if (!shown) return;
    const before = changed?.before ?? shown.plan;
    if (!choice.late && !choice.voices) {
      changed = null;
      tell(panel, []);
      return change(before, gettext("As planned again."));
    }
    const made = changeFor(before, shown.planning, choice);
    changed = { before, after: made.plan };
    tell(panel, made.told);
    change(made.plan, made.told.join(" "));
  });
}

/** The button "Swap" among those of an item that is open. @param {Element} row */
function offerSwap(row) {
  const buttons = row.querySelector(".hb-draft-buttons");
  if (!buttons || buttons.querySelector("[data-swap]")) return;
  const button = document.createElement("button");
  button.type = "button";
  button.dataset.swap = "";
  button.setAttribute("aria-expanded", "false");
  button.textContent = gettext("Swap");
  button.addEventListener("click", () => {
    const old = row.querySelector(".hb-swaps");
    button.setAttribute("aria-expanded", String(!old));
    if (old) return old.remove();
    const place = Number(row instanceof HTMLElement ? row.dataset.place : -1);
    buttons.after(swapPanel(place, null, ""));
  });
  buttons.append(button);
}

/**
 * What could take an item's place, below buttons for what it is to be like.
 * @param {number} place
 * @param {Wish | null} wish
 * @param {string} absent the voice to do without; "" for none
 * @returns {HTMLElement}
 */
function swapPanel(place, wish, absent) {
  const panel = document.createElement("div");
  panel.className = "hb-swaps";
  if (!shown) return panel;
  const { plan, planning, order } = shown;
  const there = order.items[place].there.filter((voice) => voice !== absent);
  const tonight = new Tonight(absent ? { ...plan, present: there, there: {} } : plan, planning);
  const choices = document.createElement("p");
  choices.setAttribute("role", "group");
  choices.setAttribute("aria-label", gettext("What it should be like"));
  choices.append(
    ...WISHES.map(([one, label]) => choice(label(), one === wish, () => swapPanel(place, one, ""))),
    ...(order.items[place].there.length > 1 ? order.items[place].there : []).map((voice) =>
      choice(gettext("Without {voice}", { voice: planning.voices[voice].label }), voice === absent, () => swapPanel(place, "without", voice))
    )
  );
  const found = tonight.swaps(plan.items, place, wish);
  const list = document.createElement("ul");
  const goal = planning.goals[order.items[place].main_goal] ?? "";
  list.append(...found.map((swap) => swapRow(swap, goal, absent, place)));
  const none = document.createElement("p");
  none.textContent = gettext("Nothing with the same aim fits here. Ask for something else, or make room: leave something out, or allow more time.");
  panel.append(choices, found.length ? list : none);
  return panel;

  /** @param {string} label @param {boolean} pressed @param {() => HTMLElement} next */
  function choice(label, pressed, next) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = label;
    button.setAttribute("aria-pressed", String(pressed));
    button.addEventListener("click", () => {
      const after = next();
      panel.replaceWith(after);
      const focused = after.querySelector("[aria-pressed=true]");
      if (focused instanceof HTMLElement) focused.focus();
    });
    return button;
  }
}

/**
 * @param {Swap} swap
 * @param {string} goal
 * @param {string} absent
 * @param {number} place
 */
function swapRow({ item, reasons, keys }, goal, absent, place) {
  const row = document.createElement("li");
  const button = document.createElement("button");
  button.type = "button";
  const title = document.createElement("strong");
  title.textContent = item.title;
  const why = document.createElement("span");
  why.className = "hb-quiet";
  const voices = absent && shown ? [shown.planning.voices[absent].label] : [];
  why.textContent = reasons.map((reason) => reasonWords(reason, goal, voices)).join("; ");
  button.append(title, " ", why);
  button.addEventListener("click", () => {
    if (!shown) return;
    const { by, if_time, at } = shown.plan.items[place];
    /** @type {Item} */
    const other = JSON.parse(JSON.stringify({ exercise: item.slug, keys: keys ?? undefined, by, if_time, at }));
    const items = shown.plan.items.map((one, index) => (index === place ? other : one));
    change({ ...shown.plan, items }, gettext("{title} is now item {n}. “Undo” brings back what was there.", { title: item.title, n: place + 1 }));
  });
  row.append(button);
  return row;
}

/** How the warm-up falls on the voices. @param {Shown} now @param {boolean} known */
function showLoad({ plan, order, planning }, known) {
  const part = document.querySelector(".hb-draft-load");
  const body = part?.querySelector("tbody");
  if (!part || !body) return;
  const loads = known ? Object.entries(planLoad(plan.items, order, planning)) : [];
  part.toggleAttribute("hidden", !loads.some(([, load]) => load.singing));
  body.replaceChildren(
    ...loads.map(([voice, load]) => {
      const row = document.createElement("tr");
      const head = document.createElement("th");
      head.scope = "row";
      head.textContent = planning.voices[voice].label;
      row.append(head);
      for (const amount of [load.singing, load.near, load.waiting]) row.insertCell().textContent = time(amount);
      return row;
    })
  );
}

for (const panel of document.querySelectorAll(".hb-draft .hb-tonight")) {
  if (panel instanceof HTMLElement) start(panel);
}
