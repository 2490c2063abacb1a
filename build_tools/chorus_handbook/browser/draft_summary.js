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
 * @param {number} found how many notices `warm_up_checks.js` gives
 */
export function showSummary(find, plan, { items }, numbers, planning, found) {
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
  find(".hb-draft-verdict").textContent = items.length ? joined([rest, seen]) : "";
}
