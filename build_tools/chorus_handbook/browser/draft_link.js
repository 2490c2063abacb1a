// @ts-check
/**
 * A warm-up as the part of a link behind "#". The plan never leaves the browser otherwise: such a
 * part is not sent to any server.
 *
 * The form, version 1: `1~FIELDS~ITEM~ITEM…`, where each part is written like a query, with names of
 * one letter, and `n` in the first part counts the items. Each item can be read by itself, so what
 * is damaged does not harm the rest. `pages/draft_link.py` writes the same form.
 */

import { readItem, readPlan } from "./drafts.js";

/** @import { Item, Plan } from "./planning.js" */

/** What a link was found to lack. @typedef {"newer" | "nothing" | "damaged" | "incomplete"} LinkProblem */

const VERSION = "1";
/** The names of fields in links. */
const PLAN = { t: "title", d: "date", s: "starts", m: "minutes", k: "kind", p: "piece", c: "first_chord", g: "goals", v: "present", f: "few", h: "there", j: "join_in", l: "leader", i: "pianist", r: "room" };
const ITEM = { e: "exercise", k: "keys", m: "minutes", f: "formation", v: "variation", b: "by", i: "if_time", n: "note", a: "at", o: "keep" };
const NUMBERS = ["minutes", "join_in", "if_time"];
const LISTS = ["goals", "present", "few"];
/** Fields that give each of some voices a text, written as `bass:D3,tenor:A3`. */
const BY_VOICE = ["first_chord", "there"];

/** @param {Plan} plan @returns {string} what stands behind the "#" */
export function written({ items, leads_into, ...fields }) {
  const byVoice = (/** @type {Record<string, string> | undefined} */ texts) => Object.entries(texts ?? {}).map((pair) => pair.join(":")).join(",");
  const flat = { ...fields, there: byVoice(fields.there), piece: leads_into?.piece, goals: leads_into?.goals, first_chord: byVoice(leads_into?.first_chord) };
  const head = query(PLAN, flat, [["n", items.length]]);
  return [VERSION, head, ...items.map((item) => query(ITEM, item, []))].join("~");
}

/** @param {Record<string, string>} names @param {object} fields @param {[string, unknown][]} more */
function query(names, fields, more) {
  const values = Object.entries(names).map(([short, name]) => /** @type {[string, unknown]} */ ([short, Reflect.get(fields, name)]));
  return [...values, ...more]
    .filter(([, value]) => value !== undefined && value !== "")
    .map(([short, value]) => `${short}=${escaped(String(value))}`)
    .join("&");
}

/** @param {string} text */
function escaped(text) {
  return encodeURIComponent(text)
    .replace(/[~!'()*]/g, (sign) => `%${sign.charCodeAt(0).toString(16).toUpperCase()}`)
    .replaceAll("%20", "+");
}

/**
 * Reads a link. What cannot be read is left out, and told.
 * @param {string} text what stands behind the "#"
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
 * @param {Record<string, string>} names
 * @param {string} text
 * @returns {{fields: Record<string, unknown>, count: number, damaged: boolean}}
 */
function fieldsOf(names, text) {
  /** @type {Record<string, unknown>} */
  const fields = {};
  let [count, damaged] = [0, false];
  for (const part of text.split("&").filter(Boolean)) {
    const [short, ...rest] = part.split("=");
    try {
      const value = decodeURIComponent(rest.join("=").replaceAll("+", " "));
      const name = Object.hasOwn(names, short) ? names[short] : "";
      if (short === "n" && !name) count = Number(value) || 0;
      else if (NUMBERS.includes(name)) fields[name] = Number(value);
      else if (BY_VOICE.includes(name)) fields[name] = Object.fromEntries(value.split(",").map((one) => one.split(/:(.*)/)));
      else if (LISTS.includes(name)) fields[name] = value.split(",");
      else if (name) fields[name] = value;
      else damaged = true;
    } catch {
      damaged = true; // a % that is not followed by two digits
    }
  }
  return { fields, count, damaged };
}
