// @ts-check
/** The form for a draft as a whole: when it is, how long, of which kind, what it leads into, who is there. */

import { readThere, voicesNamed } from "./attendance.js";
import { timeOfDay } from "./clock.js";
import { kindWord } from "./finding_sentences.js";
import { readPlan } from "./drafts.js";
import { gettext, language } from "./words.js";

/** @import { Plan, Planning } from "./planning.js" */

/** The fields that a selector finds. @param {HTMLElement} form @param {string} selector @returns {HTMLInputElement[]} */
function fields(form, selector) {
  return /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll(selector)]);
}

/** Fills in the form from a plan, and its heading with date, time, length and kind. @param {HTMLElement} form @param {Plan} plan @param {Planning} planning */
export function showForm(form, plan, planning) {
  const { leads_into: leads = {} } = plan;
  const kind = plan.kind ?? "weekly";
  const places = form.querySelector("[name=join_in]");
  if (places instanceof HTMLSelectElement) {
    const items = plan.items.slice(1).map((_, place) => new Option(String(place + 1)));
    places.replaceChildren(new Option("–", ""), ...items);
  }
  const values = { ...plan, starts: plan.starts.padStart(5, "0"), kind, piece: leads.piece ?? "" };
  for (const name of ["title", "date", "starts", "minutes", "kind", "piece", "join_in", "leader", "pianist", "room"]) {
    const [field] = fields(form, `[name=${name}]`);
    const value = String(Reflect.get(values, name) ?? "");
    if (field.value !== value) field.value = value;
  }
  for (const [name, chosen] of /** @type {const} */ ([
    ["present", (plan.present ?? ["all"]).flatMap((one) => voicesNamed(planning, one))],
    ["few", (plan.few ?? []).flatMap((one) => voicesNamed(planning, one))],
    ["goals", leads.goals ?? []],
  ])) {
    for (const box of fields(form, `[name=${name}]`)) box.checked = chosen.includes(box.value);
  }
  for (const field of fields(form, "[name=chord]")) field.value = leads.first_chord?.[field.dataset.voice ?? ""] ?? "";
  for (const half of /** @type {const} */ (["from", "until"])) {
    for (const field of fields(form, `[name=${half}]`)) field.value = timeOf(plan, field.dataset.voice ?? "", half, planning);
  }
  const when = form.querySelector(".hb-draft-when");
  const date = plan.date ? new Intl.DateTimeFormat(language() === "en" ? "en-GB" : language(), { weekday: "long", day: "numeric", month: "long", timeZone: "UTC" }).format(new Date(plan.date)) : "";
  if (when) when.textContent = gettext("{date}, {time}, {n} minutes, {kind}", { date, time: plan.starts, n: plan.minutes, kind: kindWord(kind) });
}

/** The time from which, or until which, a voice is there, as the form shows it ("09:40"); "" if it comes with the others, or stays to the end. @param {Plan} plan @param {string} voice @param {"from" | "until"} half @param {Planning} planning */
function timeOf(plan, voice, half, planning) {
  const times = Object.entries(plan.there ?? {}).flatMap(([name, hours]) => (voicesNamed(planning, name).includes(voice) ? [readThere(hours)[half]] : []));
  const [time = null] = times.filter((one) => one !== null);
  return time === null ? "" : timeOfDay(time, 0).padStart(5, "0");
}

/** What the form says for the field `there` of a plan: for each voice that comes late or leaves early, "from 19:40", "until 19:55" or both. @param {HTMLElement} form */
function thereIn(form) {
  /** @type {Record<string, string>} */
  const there = {};
  for (const half of ["from", "until"]) {
    for (const { value, dataset: { voice = "" } } of fields(form, `[name=${half}]`)) {
      if (value) there[voice] = [there[voice], half, value].filter(Boolean).join(" ");
    }
  }
  return there;
}

/** The fields of a plan that other fields of the form are a part of. @type {Record<string, string>} */
const PART_OF = { piece: "leads_into", chord: "leads_into", goals: "leads_into", from: "there", until: "there" };

/**
 * The plan with what one of the fields says now. An empty field that a plan must have leaves what was
 * there. The others stay as they were written: who is there may be named by a group.
 * @param {string} name of the field @param {HTMLElement} form @param {Plan} plan @param {Planning} planning @returns {Plan}
 */
export function readForm(name, form, plan, planning) {
  const value = (/** @type {string} */ name) => fields(form, `[name=${name}]`)[0].value.trim();
  const chosen = (/** @type {string} */ name) => fields(form, `[name=${name}]:checked`).map((box) => box.value);
  const present = chosen("present");
  const chord = fields(form, "[name=chord]").flatMap((field) => (field.value.trim() ? [[field.dataset.voice ?? "", field.value.trim()]] : []));
  const kind = value("kind");
  const now = {
    title: value("title") || plan.title,
    date: value("date") || plan.date,
    starts: value("starts") || plan.starts,
    minutes: Number(value("minutes")) || plan.minutes,
    kind: kind === "weekly" ? undefined : kind,
    join_in: Number(value("join_in")) || undefined,
    present: present.length === Object.keys(planning.voices).length ? undefined : present,
    few: chosen("few"),
    there: thereIn(form),
    leader: value("leader"),
    pianist: value("pianist"),
    room: value("room"),
    leads_into: { piece: value("piece"), first_chord: Object.fromEntries(chord), goals: chosen("goals") },
  };
  const changed = PART_OF[name] ?? name;
  return readPlan({ ...plan, [changed]: Reflect.get(now, changed) });
}
