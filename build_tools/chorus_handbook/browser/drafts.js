// @ts-check
/**
 * Drafts: warm-ups that a reader is putting together. They are stored in this browser, separately for
 * each handbook. The plan of a draft has the fields of a warm-up's file. What is in storage or in a
 * link may be damaged, or forged; `readPlan` keeps only what is valid.
 */

import { StoredChoice } from "./stored_choices.js";
import { RULES } from "./warm_up_rules.js";

/** @import { Item, Plan } from "./planning.js" */

/** `from_link`: whether it came by a link. @typedef {{id: string, plan: Plan, from_link?: boolean}} Draft */
/** All drafts, and the id of the current one, which the page shows and to which exercises are added. @typedef {{current: string, drafts: Draft[]}} Drafts */

/** How many characters each text field may have, and how many items a warm-up: the same as in a warm-up's file; `body` is our choice. */
export const LONGEST = { title: 80, leader: 60, pianist: 60, room: 60, piece: 80, by: 60, variation: 120, note: 300, remark: 300, answer: 300, body: 20_000 };
export const MOST_ITEMS = 30;
/** When a warm-up begins of which nothing else is known. */
export const DEFAULT_START = "19:30";

const NAME = /^[a-z][a-z0-9]*(?:-[a-z0-9]+)*$/;
const CLOCK = /^(?:[01]?\d|2[0-3]):[0-5]\d$/;
/** "from 19:40", "until 19:55", or both. */
const THERE = /^(?!$)(?:from (?:[01]?\d|2[0-3]):[0-5]\d)?(?:\s*until (?:[01]?\d|2[0-3]):[0-5]\d)?$/;
/** The name of a dated warm-up's file. */
const FILE = /^\d{4}-\d\d-\d\d-[a-z][a-z0-9]*(?:-[a-z0-9]+)*$/;
const NOTE = /^[A-Ga-g](?:##|#|bb|b)?-?\d$/;

/** The place in this browser's storage for the drafts of a handbook. @param {string} handbook its address @returns {StoredChoice<Drafts>} */
export function storedDrafts(handbook) {
  return new StoredChoice(`chorus-handbook drafts ${handbook}`, ({ current, drafts }) => {
    if (!Array.isArray(drafts)) return null;
    const good = drafts.flatMap((one) => (typeof one?.id === "string" && one.plan ? [{ id: one.id, plan: readPlan(one.plan), ...(one.from_link === true && { from_link: true }) }] : []));
    return { current: typeof current === "string" ? current : "", drafts: good };
  });
}

/** The stored drafts; an empty list of drafts if nothing is stored. @param {StoredChoice<Drafts>} store @returns {Drafts} */
export function draftsIn(store) {
  return store.read() ?? { current: "", drafts: [] };
}

/** The current draft; the last one if none is marked; null if there are no drafts. @param {Drafts} drafts @returns {Draft | null} */
export function currentOf({ current, drafts }) {
  return drafts.find(({ id }) => id === current) ?? drafts[drafts.length - 1] ?? null;
}

/** These drafts and one more, which is then the current one. @param {Drafts} all @param {Plan} plan @returns {Drafts} */
export function withDraft({ drafts }, plan) {
  const id = crypto.randomUUID?.() ?? String(Date.now() + Math.random());
  return { current: id, drafts: [...drafts, { id, plan }] };
}

/** These drafts and one that came by link, which is then the current one; if there is one with this very plan, that one. @param {Drafts} all @param {Plan} plan @returns {Drafts} */
export function withReceived(all, plan) {
  const there = all.drafts.find((one) => JSON.stringify(readPlan(one.plan)) === JSON.stringify(readPlan(plan)));
  if (there) return { ...all, current: there.id };
  const { current, drafts } = withDraft(all, plan);
  return { current, drafts: drafts.map((one) => (one.id === current ? { ...one, from_link: true } : one)) };
}

/** These drafts, with this plan in the current one. @param {Drafts} all @param {Plan} plan @returns {Drafts} */
export function withPlan(all, plan) {
  const current = currentOf(all);
  if (!current) return withDraft(all, plan);
  return { current: current.id, drafts: all.drafts.map((one) => (one.id === current.id ? { ...one, plan } : one)) };
}

/** A warm-up without items or date; time, length, people and room are taken from `like`, if given. @param {string} title @param {Plan} [like] @returns {Plan} */
export function emptyPlan(title, like) {
  const { starts = DEFAULT_START, minutes = 15, leader, pianist, room } = like ?? {};
  return present({ title, date: "", starts, minutes, leader, pianist, room, items: [] });
}

/** The plan with one more exercise at its end. @param {Plan} plan @param {string} exercise @returns {Plan} */
export function withExercise(plan, exercise) {
  return { ...plan, items: [...plan.items, { exercise }] };
}

/** The plan with the item at the place `from` moved to the place `to`, both from 0. @param {Plan} plan @param {number} from @param {number} to @returns {Plan} */
export function withMoved(plan, from, to) {
  const items = plan.items.filter((_, place) => place !== from);
  items.splice(to, 0, plan.items[from]);
  return { ...plan, items };
}

/** The value if it is an object, else an empty object. @param {any} value @returns {Record<string, any>} */
function objectOf(value) {
  return value && typeof value === "object" && !Array.isArray(value) ? value : {};
}

/** A text as one line without invisible characters, cut to `longest` characters; undefined if nothing is left. @param {unknown} value @param {number} longest */
function line(value, longest) {
  if (typeof value !== "string") return undefined;
  const text = value.replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\s]+/gu, " ").trim();
  return [...text].slice(0, longest).join("").trim() || undefined;
}

/** A text of several lines, in Markdown. @param {unknown} value */
function textOf(value) {
  if (typeof value !== "string") return undefined;
  const text = value.replace(/\r\n?/g, "\n").replace(/(?![\n\t])\p{Cc}/gu, "").trim();
  return text.slice(0, LONGEST.body) || undefined;
}

/** The value if it is a text of this form, else undefined. @param {unknown} value @param {RegExp} form */
function matching(value, form) {
  return typeof value === "string" && form.test(value) ? value : undefined;
}

/** The value if it is a number of minutes up to `most`, else undefined. @param {unknown} value @param {number} most */
function minutes(value, most) {
  return typeof value === "number" && value > 0 && value <= most ? value : undefined;
}

/** The value if it is a whole number from 1 to the most items, such as a rank among them, else undefined. @param {unknown} value @returns {number | undefined} */
function rank(value) {
  return Number.isInteger(value) && Number(value) >= 1 && Number(value) <= MOST_ITEMS ? Number(value) : undefined;
}

/** Those entries of a list that are names, such as "easy-onset"; undefined if there are none. @param {unknown} value @returns {string[] | undefined} */
function names(value) {
  const found = Array.isArray(value) ? value.filter((one) => matching(one, NAME)) : [];
  return found.length ? found : undefined;
}

/**
 * The value if it is a date that exists, such as "2026-09-03", else undefined.
 * @param {unknown} value
 */
export function dateOf(value) {
  const text = matching(value, /^\d{4}-\d\d-\d\d$/);
  const day = text ? new Date(`${text}T00:00Z`) : null;
  return day && !Number.isNaN(day.getTime()) && day.toISOString().startsWith(text ?? "?") ? text : undefined;
}

/** An item with those fields that are valid; null if it names no exercise. @param {unknown} value @returns {Item | null} */
export function readItem(value) {
  const fields = objectOf(value);
  const exercise = matching(fields.exercise, NAME);
  if (!exercise) return null;
  return present({
    exercise,
    keys: line(fields.keys, 60),
    minutes: minutes(fields.minutes, 30),
    formation: matching(fields.formation, NAME),
    variation: line(fields.variation, LONGEST.variation),
    by: line(fields.by, LONGEST.by),
    if_time: rank(fields.if_time),
    note: line(fields.note, LONGEST.note),
    at: matching(fields.at, CLOCK),
    keep: matching(fields.keep, /^(?:opener|closer)$/),
    sung: matching(fields.sung, /^(?:yes|cut|skipped)$/),
    top: matching(fields.top, NOTE),
    remark: line(fields.remark, LONGEST.remark),
  });
}

/** A plan with those fields that are valid; what every plan must have gets a default. @param {unknown} value @returns {Plan} */
export function readPlan(value) {
  const fields = objectOf(value);
  const leads = objectOf(fields.leads_into);
  const chord = Object.entries(objectOf(leads.first_chord)).filter(([name, note]) => NAME.test(name) && matching(note, NOTE));
  const there = Object.entries(objectOf(fields.there)).filter(([name, hours]) => NAME.test(name) && matching(hours, THERE));
  const answers = Object.entries(objectOf(fields.answers)).flatMap(([code, reason]) => (NAME.test(code) && line(reason, LONGEST.answer) ? [[code, line(reason, LONGEST.answer)]] : []));
  const leadsInto = present({ piece: line(leads.piece, LONGEST.piece), first_chord: chord.length ? Object.fromEntries(chord) : undefined, goals: names(leads.goals)?.slice(0, 6) });
  const items = (Array.isArray(fields.items) ? fields.items : []).flatMap((item) => readItem(item) ?? []);
  return present({
    title: line(fields.title, LONGEST.title) ?? "",
    date: dateOf(fields.date) ?? "",
    starts: matching(fields.starts, CLOCK) ?? DEFAULT_START,
    minutes: minutes(fields.minutes, 60) ?? 15,
    kind: typeof fields.kind === "string" && Object.hasOwn(RULES.limits.longest, fields.kind) ? fields.kind : undefined,
    leads_into: Object.keys(leadsInto).length ? leadsInto : undefined,
    leader: line(fields.leader, LONGEST.leader),
    pianist: line(fields.pianist, LONGEST.pianist),
    room: line(fields.room, LONGEST.room),
    present: names(fields.present),
    few: names(fields.few),
    there: there.length ? Object.fromEntries(there) : undefined,
    join_in: rank(fields.join_in),
    at_home: names(fields.at_home)?.slice(0, 2),
    answers: answers.length ? Object.fromEntries(answers) : undefined,
    file: matching(fields.file, FILE),
    body: textOf(fields.body),
    items: items.slice(0, MOST_ITEMS),
  });
}

/** An object without the fields that are undefined. @template {object} T @param {T} fields @returns {T} */
function present(fields) {
  return /** @type {T} */ (Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)));
}
