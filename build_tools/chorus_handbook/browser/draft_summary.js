// @ts-check
/**
 * The parts of a draft's page that are about the whole warm-up: its fields, how much of its time is
 * used, the picture of its build-up, and its cautions. `draft_page.js` shows them after each change.
 */

import { MINUTE, sum, total } from "./clock.js";
import { buildUp, buildUpRows } from "./draft_chart.js";
import { showForm } from "./draft_form.js";
import { time } from "./finding_sentences.js";
import { sameDay } from "./same_room.js";
import { gettext, joined, ngettext } from "./words.js";

/** @import { Plan, Planning, RunningOrder } from "./planning.js" */

/**
 * Shows all of these parts.
 * @param {(selector: string) => HTMLElement} find finds a part of the page
 * @param {Plan} plan
 * @param {RunningOrder} order made from the plan; an item whose exercise is missing is not in it
 * @param {number[]} numbers for each item of the order, its number in the plan, from 1
 * @param {Planning} planning
 * @param {{found: number, lasting: boolean}} seen how many notices there are to look at, and whether this
 *   browser stores the draft
 */
export function showSummary(find, plan, { items }, numbers, planning, { found, lasting }) {
  showForm(find(".hb-draft-about"), plan, planning);
  find(".hb-draft-title").textContent = `${plan.title} · ${find(".hb-draft-when").textContent}`;
  find(".hb-draft-same-day").textContent = sameDay(plan, planning).join(" ");
  find(".hb-draft-empty").hidden = plan.items.length > 0;
  for (const part of [".hb-draft-chart", ".hb-draft-done"]) find(part).hidden = !items.length;
  const impacts = JSON.parse(find(".hb-draft-picture").dataset.impacts ?? "[]");
  if (items.length) find(".hb-draft-picture").replaceChildren(buildUp(items, numbers));
  find(".hb-build-up-table tbody").replaceChildren(...buildUpRows(items, numbers, impacts));
  const singing = time(sum(items.map((one) => one.singing)));
  find(".hb-build-up-table caption").textContent = gettext("A bar for each item: as wide as its time, as high as its impact. In all, {time} of singing.", { time: singing });
  const used = Object.entries(planning.cautions).filter(([name]) => items.some(({ slug }) => planning.exercises[slug].cautions?.includes(name)));
  find(".hb-draft-care").hidden = !used.length;
  find(".hb-draft-care ul").replaceChildren(...used.map(([, text]) => Object.assign(document.createElement("li"), { textContent: text })));
  const allowed = Math.round(plan.minutes * MINUTE);
  const taken = total(items);
  find(".hb-draft-time").textContent = gettext("{time} of {minutes}", { time: time(taken), minutes: time(allowed) });
  const rest = taken > allowed ? gettext("{time} over", { time: time(taken - allowed) }) : gettext("it fits");
  const seen = found ? ngettext("{n} thing to look at", "{n} things to look at", found) : gettext("nothing needs changing");
  const unstored = gettext("Not stored in this browser: share it or save it.");
  find(".hb-draft-verdict").textContent = !lasting ? unstored : items.length ? joined([rest, seen]) : "";
  /** @type {HTMLButtonElement} */ (find(".hb-draft-total")).disabled = lasting && !found;
}

/**
 * Leads to what the bar at the foot of the page speaks of: the ways to take the draft along if this browser
 * does not store it, else the first notice, and with each further tap the next.
 * @param {HTMLElement} page @param {boolean} lasting whether this browser stores the draft
 */
export function lookAt(page, lasting) {
  const places = [...page.querySelectorAll(lasting ? ":is(.hb-draft-clashes, .hb-draft-notices, .hb-draft-findings) > li:not(.hb-answered)" : ".hb-draft-done h2")];
  const last = places.findIndex((place) => place.classList.contains("hb-looked-at"));
  const place = places[(last + 1) % places.length];
  if (!(place instanceof HTMLElement)) return;
  places[last]?.classList.remove("hb-looked-at");
  place.classList.add("hb-looked-at");
  place.tabIndex = -1;
  place.focus({ preventScroll: true });
  place.scrollIntoView({ block: "center", behavior: "instant" });
}
