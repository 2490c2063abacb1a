// @ts-check
/**
 * What the page of a draft offers for the evening itself: other exercises for each item (swaps), "We
 * start late" and "Voices tonight"; and a table of how long each voice sings and waits. To change the
 * plan, this module sends the page the event `CHANGE_EVENT`, so that "Undo" works for it too.
 */

import { longestWait, time } from "./finding_sentences.js";
import { planLoad } from "./load.js";
import { Tonight } from "./tonight.js";
import { LET_GO_EVENT, changeFor, makePanelWork, tell } from "./tonight_panel.js";
import { reasonWords } from "./tonight_words.js";
import { gettext } from "./words.js";

/** @import { Item, Plan, Planning, RunningOrder } from "./planning.js" */
/** @import { Swap, Wish } from "./swaps.js" */

/** What the page shows at the moment. @typedef {{plan: Plan, order: RunningOrder, planning: Planning}} Shown */

/** The event that asks the page to show another plan; `detail: {plan, said}`. */
export const CHANGE_EVENT = "handbook:change-draft";

/** What a swap may be asked to be like, with the labels of the buttons. There is a further button for each voice to do without. @type {[Wish | null, () => string][]} */
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
/** The plan before and after "We start late" or "Voices tonight" changed it; null if neither is pressed. @type {{before: Plan, after: Plan} | null} */
let changed = null;

/** Asks the page to show another plan. @param {Plan} plan @param {string} said what screen readers are told */
function change(plan, said) {
  document.dispatchEvent(new CustomEvent(CHANGE_EVENT, { detail: { plan, said } }));
}

/** Called whenever the page shows a plan. @param {Shown} now */
export function showTonight(now) {
  shown = now;
  const known = now.plan.items.every(({ exercise }) => Object.hasOwn(now.planning.exercises, exercise));
  const panel = document.querySelector(".hb-draft .hb-tonight");
  if (panel instanceof HTMLElement) panel.hidden = !known || !now.plan.items.length;
  // If the plan was changed in another way since, that change stays: the buttons are released, and what
  // they do next starts from the plan as it is now.
  if (changed && JSON.stringify(now.plan) !== JSON.stringify(changed.after)) {
    changed = null;
    if (panel instanceof HTMLElement) letGo(panel);
  }
  const left = panel?.querySelector("[name=left]");
  if (left instanceof HTMLSelectElement) {
    const { minutes } = changed?.before ?? now.plan;
    for (const option of left.options) option.disabled = Number(option.value) >= minutes;
    if (left.selectedOptions[0]?.disabled) left.value = [...left.options].filter(({ disabled }) => !disabled).pop()?.value ?? "";
  }
  for (const row of document.querySelectorAll(".hb-draft-item")) if (known) offerSwap(row);
  showLoad(now, known);
}

/** Releases the buttons of the panel. @param {HTMLElement} panel */
function letGo(panel) {
  tell(panel, []);
  panel.dispatchEvent(new CustomEvent(LET_GO_EVENT));
}

/** Makes the panel with "We start late" and "Voices tonight" work. @param {HTMLElement} panel */
function start(panel) {
  makePanelWork(panel, () => (changed?.before ?? shown?.plan)?.minutes ?? 0, (choice) => {
    if (!shown) return;
    const before = changed?.before ?? shown.plan;
    if (!choice.late && !choice.voices) {
      changed = null;
      tell(panel, []);
      return change(before, gettext("The warm-up is as planned again."));
    }
    const made = changeFor(before, shown.planning, choice);
    changed = { before, after: made.plan };
    tell(panel, made.told);
    change(made.plan, made.told.join(" "));
  });
}

/** Adds the button "Swap" to the buttons of an item whose fields are shown. @param {Element} row */
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
  buttons.querySelector("[data-do=remove]")?.after(" ", button);
}

/**
 * The panel that lists what could take an item's place, below a row of buttons for what it should be like.
 * @param {number} place of the item, from 0
 * @param {Wish | null} wish what is asked for; null for anything
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
  choices.className = "hb-swap-wishes";
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
  none.textContent = gettext("No exercise with the same aim fits here. Ask for something else, or make room: leave something out, or allow more time.");
  panel.append(choices, found.length ? list : none);
  return panel;

  /** A button that puts another panel in this one's place. @param {string} label @param {boolean} pressed @param {() => HTMLElement} next makes the other panel */
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
 * The list item for a swap: a button with its title and reasons, which puts it in the item's place.
 * @param {Swap} swap
 * @param {string} goal the label of the item's main goal
 * @param {string} absent the voice to do without; "" for none
 * @param {number} place of the item, from 0
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

/** Shows for how long each voice sings, is near its limits, and waits. @param {Shown} now @param {boolean} known whether all exercises are in the handbook */
function showLoad({ plan, order, planning }, known) {
  const part = document.querySelector(".hb-draft-load");
  const body = part?.querySelector("tbody");
  if (!part || !body) return;
  const loads = known ? Object.entries(planLoad(plan.items, order, planning)) : [];
  part.toggleAttribute("hidden", !loads.some(([, load]) => load.singing));
  const told = part.querySelector(".hb-waits");
  if (told) told.textContent = longestWait(loads.map(([voice, { waiting }]) => [planning.voices[voice].label, waiting]));
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
