// @ts-check
/**
 * The music stand of a warm-up's page as it is sung tonight: it leads through tonight's items and keys,
 * says so in one line with a way back, and notes what was sung by the items of the warm-up's file, so
 * that `handbook sung` can take it over.
 */

import { logLine } from "./draft_parts.js";
import { runningOrder } from "./planning.js";
import { standOf } from "./plan_stand.js";
import { gettext, joined, ngettext } from "./words.js";

/** @import { PlanParts } from "./draft_items.js" */
/** @import { Plan, Planning } from "./planning.js" */
/** @import { Changed, Choice } from "./tonight_panel.js" */

/** The warm-up as its file has it, what was chosen, and what became of it. @typedef {{written: Plan, choice: Choice, planning: Planning, changed: Changed}} Shown */

/** For which choice the log was last filled in. */
let noted = "";

/**
 * Opens the stand. Fails if the parts of an exercise cannot be fetched.
 * @param {string} view "stand", or "notice" for the run-through at ten minutes' notice
 * @param {Shown} shown
 * @param {PlanParts} parts
 * @param {() => void} asPlanned called when the reader wants what was planned
 */
export async function openTonight(view, { written, choice, planning, changed }, parts, asPlanned) {
  const { plan, places } = changed;
  const taken = await parts.items(plan, runningOrder(plan, planning), planning);
  const own = document.querySelector("dialog.hb-stand");
  if (!(own instanceof HTMLDialogElement)) return;
  const dialog = /** @type {HTMLDialogElement} */ (own.cloneNode(true));
  for (const screen of dialog.querySelectorAll("article:not(.hb-stand-log)")) screen.remove();
  dialog.dataset.minutes = String(plan.minutes);
  dialog.dataset.tonight = JSON.stringify(choice);
  dialog.querySelector(".hb-stand-bar")?.after(lineOf(choice, plan, () => {
    dialog.close();
    asPlanned();
  }));
  const rows = [...dialog.querySelectorAll(".hb-stand-log li")];
  for (const [n, { one }] of taken.entries()) if (isPlanned(n)) rows[places[n]].replaceWith(logLine(one));
  const stand = await standOf(dialog, taken, planning, parts.handbook);
  for (const [n, screen] of stand.items.entries()) if (n < places.length) screen.dataset.row = isPlanned(n) ? String(places[n]) : "";
  if (noted !== dialog.dataset.tonight) {
    noted = dialog.dataset.tonight;
    fillLog();
  }
  if (view === "notice") void stand.runThrough();
  else stand.open();

  /** Whether tonight's item is the one that was planned in its place. @param {number} n its place tonight */
  function isPlanned(n) {
    return plan.items[n].exercise === written.items[places[n]]?.exercise;
  }

  /** What is not sung tonight is skipped; what takes its place is noted beside it. */
  function fillLog() {
    for (const [place, row] of stand.log.rows.entries()) {
      const n = places.indexOf(place);
      if (n >= 0 && isPlanned(n)) continue;
      stand.log.note(row, "skipped");
      const remark = row.querySelector("[name=remark]");
      if (n >= 0 && remark instanceof HTMLInputElement) remark.value = gettext("Instead: {title}", { title: taken[n].one.numbers.title });
    }
    stand.log.record();
  }
}

/** The line that says that this is tonight's order, and the way back. @param {Choice} choice @param {Plan} plan @param {() => void} back */
function lineOf({ late, voices }, plan, back) {
  const line = document.createElement("p");
  line.className = "hb-stand-tonight";
  const what = [
    late ? ngettext("{n} minute left", "{n} minutes left", plan.minutes) : "",
    voices === "tired" ? gettext("voices are tired") : "",
    voices === "colds" ? gettext("colds are going round") : "",
  ];
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = gettext("As planned");
  button.addEventListener("click", back);
  line.append(Object.assign(document.createElement("span"), { textContent: gettext("Changed for tonight: {what}.", { what: joined(what.filter(Boolean)) }) }), button);
  return line;
}
