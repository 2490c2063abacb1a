// @ts-check
/**
 * Writes and reads a warm-up as the part of a link after the "#". A browser sends that part to no
 * server, so a plan is seen only by those who are given the link.
 *
 * The form, version 1: `1~FIELDS~ITEM~ITEM…`. Each part is written like the query of an address,
 * with names of one letter; `n` in FIELDS is the number of items, by which a reader knows whether the
 * end is missing. Each item can be read by itself, so if one is damaged, the rest is not lost.
 * `pages/draft_link.py` writes the same form.
 */

import { readItem, readPlan } from "./drafts.js";

/** @import { Item, Plan } from "./planning.js" */

/** A value of a link that was not taken over: the field, what it said, and the number of its item, 0 if it is of the whole. @typedef {{name: string, value: string, item: number}} Replaced */

/** What is wrong with a link: made by a later version, not a warm-up at all, damaged somewhere, or cut off. @typedef {"newer" | "nothing" | "damaged" | "incomplete"} LinkProblem */

const VERSION = "1";
/** The letters that stand for the fields of a plan and of an item. */
const PLAN = { t: "title", d: "date", s: "starts", m: "minutes", k: "kind", p: "piece", c: "first_chord", g: "goals", v: "present", f: "few", h: "there", j: "join_in", l: "leader", i: "pianist", r: "room", e: "at_home", a: "answers", u: "file", b: "body" };
const ITEM = { e: "exercise", k: "keys", m: "minutes", f: "formation", v: "variation", b: "by", i: "if_time", n: "note", a: "at", o: "keep", s: "sung", t: "top", r: "remark" };
const NUMBERS = ["minutes", "join_in", "if_time"];
const TEXTS = ["title", "piece", "leader", "pianist", "room", "body", "keys", "variation", "by", "note", "remark"];
const LISTS = ["goals", "present", "few", "at_home"];
/** Fields that hold a text for each of some names, each written by itself as `bass:D3`. */
const BY_NAME = ["first_chord", "there", "answers"];

/** A plan as a link has it. @param {Plan} plan @returns {string} what stands after the "#" */
export function written({ items, leads_into, ...fields }) {
  const head = query(PLAN, { ...fields, ...leads_into }, [["n", items.length]]);
  return [VERSION, head, ...items.map((item) => query(ITEM, item, []))].join("~");
}

/** One part of a link. @param {Record<string, string>} names the letters of the fields @param {object} fields @param {[string, unknown][]} more further letters with their values */
function query(names, fields, more) {
  const values = Object.entries(names).flatMap(([short, name]) => {
    const value = Reflect.get(fields, name);
    const texts = BY_NAME.includes(name) ? Object.entries(value ?? {}).map((pair) => pair.join(":")) : [value];
    return texts.map((text) => /** @type {[string, unknown]} */ ([short, text]));
  });
  return [...values, ...more]
    .filter(([, value]) => value !== undefined && value !== "")
    .map(([short, value]) => `${short}=${escaped(String(value))}`)
    .join("&");
}

/** A value with all characters escaped that mean something in a link, or that some mail programs take for its end. @param {string} text */
function escaped(text) {
  return encodeURIComponent(text)
    .replace(/[~!'()*]/g, (sign) => `%${sign.charCodeAt(0).toString(16).toUpperCase()}`)
    .replaceAll("%20", "+");
}

/**
 * Reads a link. What cannot be read is left out of the plan and named in `problems`.
 * @param {string} text what stands after the "#"
 * @returns {{plan: Plan, problems: LinkProblem[]}}
 */
export function read(text) {
  const [version, head = "", ...parts] = text.split("~");
  const empty = readPlan({});
  if (/^\d+$/.test(version) && version !== VERSION) return { plan: empty, problems: ["newer"] };
  const top = fieldsOf(PLAN, head);
  const items = parts.map((part) => fieldsOf(ITEM, part));
  const { piece, first_chord, goals, ...fields } = top.fields;
  const good = items.flatMap(({ fields: item }) => (readItem(item) ? [item] : []));
  const plan = readPlan({ ...fields, leads_into: { piece, first_chord, goals }, items: good });
  if (version !== VERSION || !plan.items.length) return { plan, problems: ["nothing"] };
  /** @type {LinkProblem[]} */
  const problems = [];
  if (plan.items.length < top.count || top.count === 0) problems.push("incomplete");
  else if (top.damaged || items.some(({ damaged }) => damaged) || good.length < items.length) problems.push("damaged");
  return { plan, problems };
}

/**
 * The values of a link that are not in the plan that is read from it, because they cannot be, such as the
 * date 2026-02-30. Texts are not among them: of these only what is invisible or too long is left out.
 * @param {string} text what stands after the "#" @returns {Replaced[]}
 */
export function replacedIn(text) {
  const [, head = "", ...parts] = text.split("~");
  const { fields } = fieldsOf(PLAN, head);
  const plan = read(text).plan;
  /** @param {Record<string, unknown>} said @param {object} kept @param {number} item @returns {Replaced[]} */
  const missing = (said, kept, item) =>
    Object.entries(said).flatMap(([name, value]) => {
      const now = Reflect.get(kept, name);
      if (typeof value === "object" && value) {
        return Object.entries(value).flatMap(([key, one]) => (Array.isArray(now) ? now.includes(one) : now?.[key] !== undefined) ? [] : [{ name, value: Array.isArray(value) ? one : `${key}: ${one}`, item }]);
      }
      return (TEXTS.includes(name) ? now !== undefined || !value : now === value) ? [] : [{ name, value: String(value), item }];
    });
  const items = parts.map((part) => fieldsOf(ITEM, part).fields).filter(readItem);
  const whole = missing(fields, { ...plan, ...plan.leads_into }, 0);
  return [...whole, ...plan.items.flatMap((item, place) => missing(items[place], item, place + 1))];
}

/**
 * Reads one part of a link.
 * @param {Record<string, string>} names the letters of the fields
 * @param {string} text
 * @returns {{fields: Record<string, unknown>, count: number, damaged: boolean}} the values by field, the
 *   number of items that `n` gives (0 without it), and whether anything could not be read
 */
function fieldsOf(names, text) {
  /** @type {Record<string, any>} */
  const fields = {};
  let [count, damaged] = [0, false];
  for (const part of text.split("&").filter(Boolean)) {
    const [short, ...rest] = part.split("=");
    try {
      const value = decodeURIComponent(rest.join("=").replaceAll("+", " "));
      const name = Object.hasOwn(names, short) ? names[short] : "";
      if (short === "n" && !name) count = Number(value) || 0;
      else if (NUMBERS.includes(name)) fields[name] = Number.isNaN(Number(value)) ? value : Number(value);
      else if (name === "answers") fields[name] = { ...fields[name], ...pairOf(value) };
      else if (BY_NAME.includes(name)) fields[name] = Object.assign({}, fields[name], ...value.split(",").map(pairOf)); // older links have all in one
      else if (LISTS.includes(name)) fields[name] = value.split(",");
      else if (name) fields[name] = value;
      else damaged = true;
    } catch {
      damaged = true; // a % that is not followed by two digits
    }
  }
  return { fields, count, damaged };
}

/** An object with one field, from a name and a text. @param {string} text such as "bass:D3" @returns {Record<string, string>} */
function pairOf(text) {
  const [name, rest = ""] = text.split(/:(.*)/s);
  return { [name]: rest };
}
