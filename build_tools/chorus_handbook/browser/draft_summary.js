// @ts-check
/** What the page of a draft says of the whole: its fields, its time, how it builds up, its cautions. */

import { MINUTE, sum, total } from "./clock.js";
import { buildUp, buildUpRows } from "./draft_chart.js";
import { showForm } from "./draft_form.js";
import { time } from "./finding_sentences.js";
import { gettext, joined, ngettext } from "./words.js";

/** @import { Plan, Planning, RunningOrder } from "./planning.js" */

/**
 * @param {(selector: string) => HTMLElement} find a part of the page
 * @param {Plan} plan
 * @param {RunningOrder} order
 * @param {number[]} numbers the number of each item of the order
 * @param {Planning} planning
 * @param {number} found how many things the rules of a warm-up find
 */
export function showSummary(find, plan, { items }, numbers, planning, found) {
  showForm(find(".hb-draft-about"), plan, planning);
  find(".hb-draft-title").textContent = `${plan.title} · ${find(".hb-draft-when").textContent}`;
  find(".hb-draft-empty").hidden = plan.items.length > 0;
  for (const part of [".hb-draft-chart", ".hb-draft-done"]) find(part).hidden = !items.length;
  const impacts = JSON.parse(find(".hb-draft-picture").dataset.impacts ?? "[]");
  if (items.length) find(".hb-draft-picture").replaceChildren(buildUp(items, numbers));
  find(".hb-build-up-table tbody").replaceChildren(...buildUpRows(items, numbers, impacts));
  const singing = time(sum(items.map((one) => one.singing)));
  find(".hb-build-up-table caption").textContent = gettext("A bar for each item: as long as it takes, as high as its impact. A voice sings for {time} in all.", { time: singing });
  const used = Object.entries(planning.cautions).filter(([name]) => items.some(({ slug }) => planning.exercises[slug].cautions?.includes(name)));
  find(".hb-draft-care").hidden = !used.length;
  find(".hb-draft-care ul").replaceChildren(...used.map(([, text]) => Object.assign(document.createElement("li"), { textContent: text })));
  const allowed = Math.round(plan.minutes * MINUTE);
  const taken = total(items);
  find(".hb-draft-time").textContent = gettext("{time} of {minutes}", { time: time(taken), minutes: time(allowed) });
  const rest = taken > allowed ? gettext("{time} over", { time: time(taken - allowed) }) : gettext("it fits");
  const seen = found ? ngettext("{n} thing to look at", "{n} things to look at", found) : gettext("nothing found to mend");
  find(".hb-draft-verdict").textContent = items.length ? joined([rest, seen]) : "";
}
