// @ts-check
/**
 * The controls "We start late" and "Voices tonight": one tap changes the warm-up, another brings it
 * back. They change nothing but what is shown; the page says what it does with the changed items.
 */

import { MINUTE } from "./clock.js";
import { shorten } from "./late.js";
import { makeGentler } from "./tired_voices.js";
import { Tonight } from "./tonight.js";
import { gentleSentences, lateSentences } from "./tonight_words.js";

/** @import { Item, Plan, Planning } from "./planning.js" */

/** The event that lets go of the buttons, sent to the panel when what they had changed is gone. */
export const LET_GO_EVENT = "handbook:let-go";

/** What was chosen: by how many minutes the start is late (0: not), and how the voices are. @typedef {{late: number, voices: "" | "tired" | "colds"}} Choice */

/**
 * A plan changed for tonight. `places`: where each item stood in the plan, from 0; `told`: what was
 * changed, in sentences.
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
  let items = new Map(plan.items.entries());
  const told = [];
  if (voices) {
    const gentle = makeGentler(planned);
    items = gentle.items;
    told.push(...gentleSentences(planned, gentle, voices));
  }
  if (late) {
    const places = [...items.keys()];
    const now = new Tonight({ ...plan, items: [...items.values()] }, planning);
    const short = shorten(now, Math.round((plan.minutes - late) * MINUTE));
    told.push(...lateSentences(now, short));
    items = new Map([...short.items].map(([place, item]) => [places[place], item]));
  }
  return { plan: { ...plan, items: [...items.values()] }, places: [...items.keys()], told };
}

/**
 * Makes the controls work.
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
    else if (what === "undo") set({ late: 0, voices: "" });
  });
  left.addEventListener("change", () => choice.late && set({ ...choice, late: late() }));
  panel.hidden = false;
}

/**
 * Shows what was changed.
 * @param {HTMLElement} panel
 * @param {string[]} told none if nothing is changed
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
