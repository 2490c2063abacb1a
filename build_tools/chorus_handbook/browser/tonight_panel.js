// @ts-check
/**
 * The panel with the controls "We start late" and "Voices tonight": one tap changes the warm-up,
 * another changes it back. This module works out the changed warm-up; what becomes of it is up to the
 * two pages that have the panel: `tonight_page.js` shows it, `draft_tonight.js` makes it the draft.
 */

import { clockOf } from "./attendance.js";
import { MINUTE, timeOfDay } from "./clock.js";
import { shorten } from "./late.js";
import { makeGentler } from "./tired_voices.js";
import { Tonight, joinInAmong } from "./tonight.js";
import { gentleSentences, lateSentences, withGentleWords } from "./tonight_words.js";

/** @import { Shortened } from "./late.js" */
/** @import { Item, Plan, Planning } from "./planning.js" */

/** The event that releases all buttons, sent to the panel when what they had changed is no longer shown. */
export const LET_GO_EVENT = "handbook:let-go";

/** What was chosen: by how many minutes the start is late (0 if it is on time), and how the voices are ("" if well). @typedef {{late: number, voices: "" | "tired" | "colds"}} Choice */

/**
 * A plan changed for tonight. `places`: for each of its items, the place it had before, from 0; `told`:
 * sentences that say what was changed.
 * @typedef {{plan: Plan, places: number[], told: string[]}} Changed
 */

/**
 * The plan as it is sung tonight: first gentler, then shorter.
 * @param {Plan} plan
 * @param {Planning} planning
 * @param {Choice} choice
 * @returns {Changed}
 */
export function changeFor(plan, planning, { late, voices }) {
  const planned = new Tonight(plan, planning);
  const gentle = voices ? makeGentler(planned) : null;
  const whole = gentle?.items ?? new Map(plan.items.entries());
  const short = late ? shortened(planned, whole, Math.round((plan.minutes - late) * MINUTE), gentle !== null) : null;
  const sung = short?.items ?? whole;
  const told = [
    ...(voices && gentle ? gentleSentences(planned, gentle, sung, voices) : []),
    ...(short ? lateSentences(planned, short, whole) : []),
  ];
  const items = voices ? withGentleWords(planned, sung, voices) : sung;
  const starts = timeOfDay(clockOf(plan.starts), MINUTE * late);
  const minutes = Math.max(1, plan.minutes - late);
  const places = [...items.keys()];
  const changed = { ...plan, starts, minutes, items: [...items.values()] };
  if (plan.join_in) changed.join_in = joinInAmong(plan.join_in, places);
  return { plan: changed, places, told };
}

/**
 * Items made shorter, by their places in the plan.
 * @param {Tonight} planned
 * @param {Map<number, Item>} items
 * @param {number} time in half-seconds
 * @param {boolean} gentle whether voices are tired
 * @returns {Shortened}
 */
function shortened(planned, items, time, gentle) {
  const places = [...items.keys()];
  const plan = { ...planned.plan, items: [...items.values()], join_in: joinInAmong(planned.plan.join_in, places) };
  const short = shorten(new Tonight(plan, planned.planning), time, gentle);
  return {
    ...short,
    items: new Map([...short.items].map(([place, item]) => [places[place], item])),
    leftOut: short.leftOut.map((place) => places[place]),
  };
}

/**
 * Makes the controls of a panel work, and shows it.
 * @param {HTMLElement} panel
 * @param {() => number} planned how many minutes the warm-up has as planned
 * @param {(choice: Choice) => void} chosen called at each tap
 */
export function makePanelWork(panel, planned, chosen) {
  /** @type {Choice} */
  let choice = { late: 0, voices: "" };
  const left = /** @type {HTMLSelectElement} */ (panel.querySelector("[name=left]"));
  const late = () => Math.max(0, planned() - Number(left.value));
  const press = (/** @type {Choice} */ next) => {
    choice = next;
    const pressed = { late: choice.late > 0, tired: choice.voices === "tired", colds: choice.voices === "colds" };
    for (const button of panel.querySelectorAll("button[data-tonight]")) {
      if (button instanceof HTMLElement) button.setAttribute("aria-pressed", String(Boolean(Reflect.get(pressed, button.dataset.tonight ?? ""))));
    }
  };
  const set = (/** @type {Choice} */ next) => {
    press(next);
    chosen(choice);
  };
  panel.addEventListener(LET_GO_EVENT, () => press({ late: 0, voices: "" }));
  panel.addEventListener("click", ({ target }) => {
    const button = target instanceof Element ? target.closest("button") : null;
    const what = button?.dataset.tonight;
    if (what === "late") set({ ...choice, late: choice.late ? 0 : late() });
    else if (what === "tired" || what === "colds") set({ ...choice, voices: choice.voices === what ? "" : what });
    else if (what === "undo") {
      set({ late: 0, voices: "" });
      panel.querySelector("button")?.focus(); // this one is hidden with what it undid
    }
  });
  left.addEventListener("change", () => choice.late && set({ ...choice, late: late() }));
  panel.hidden = false;
}

/**
 * Shows in the panel what was changed.
 * @param {HTMLElement} panel
 * @param {string[]} told sentences; an empty list if nothing is changed
 */
export function tell(panel, told) {
  const list = panel.querySelector(".hb-tonight-told");
  list?.replaceChildren(
    ...told.map((sentence) => {
      const one = document.createElement("li");
      one.textContent = sentence;
      return one;
    })
  );
  panel.querySelector(".hb-tonight-more")?.toggleAttribute("hidden", !told.length);
}
