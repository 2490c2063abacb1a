// @ts-check
/**
 * Writes a draft as the file of a warm-up (docs/writing/warm-ups.md), which the reader can save.
 * Every text is in quotation marks, so that YAML reads it as it was typed.
 */

/** @import { Plan } from "./planning.js" */

/** Characters that JSON does not escape, but that YAML accepts only escaped: some that do not print. */
const UNPRINTABLE = /[\u007f-\u009f\u2028\u2029\ufeff\ufffe\uffff]/g;
/** The fields in the order in which they are written: of the warm-up, of its field `leads_into`, and of an item. */
const PLAN = /** @type {const} */ (["title", "date", "starts", "minutes", "kind", "leader", "pianist", "room", "present", "few", "there", "join_in", "at_home", "answers"]);
const LEADS_INTO = /** @type {const} */ (["piece", "first_chord", "goals"]);
const ITEM = /** @type {const} */ (["exercise", "keys", "minutes", "formation", "variation", "by", "if_time", "note", "at", "keep", "sung", "top", "remark"]);

/** A value as YAML. JSON is valid YAML, except for the characters above. @param {unknown} value */
function inYaml(value) {
  return JSON.stringify(value).replace(UNPRINTABLE, (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`);
}

/** The lines "name: value" for those of the fields that have a value. @param {object} fields @param {readonly string[]} names @param {string} indent @returns {string[]} */
function lines(fields, names, indent) {
  return names.flatMap((name) => {
    const value = Reflect.get(fields, name);
    return value === undefined || value === "" ? [] : [`${indent}${name}: ${inYaml(value)}`];
  });
}

/** The text of the file: its fields, and below them what its author tells of the evening. @param {Plan} plan */
export function fileText(plan) {
  const leads = lines(plan.leads_into ?? {}, LEADS_INTO, "  ");
  const items = plan.items.flatMap((item) => {
    const [first, ...rest] = lines(item, ITEM, "    ");
    return [`  - ${first.trim()}`, ...rest];
  });
  const head = lines(plan, PLAN, "");
  return ["---", ...head, ...(leads.length ? ["leads_into:", ...leads] : []), "items:", ...items, "---", ...(plan.body ? [plan.body] : []), ""].join("\n");
}

/**
 * The name of the file: the date, and the title in lower-case ASCII letters, such as
 * "2026-09-03-warm-up.md". A draft of a warm-up of the handbook
 * keeps the name of its file, as long as it is for the same day.
 * @param {Plan} plan
 */
export function fileName({ title, date, file }) {
  if (file?.startsWith(`${date}-`)) return `${file}.md`;
  const words = title.normalize("NFKD").toLowerCase().replaceAll("'", "").replace(/[^\x00-\x7f]/g, "").match(/[a-z0-9]+/g) ?? [];
  const name = words.join("-").replace(/^[-0-9]+/, "").slice(0, 40).replace(/-+$/, "");
  return `${date}-${name || "warm-up"}.md`;
}
