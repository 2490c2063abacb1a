// @ts-check
/**
 * Writes the log (what was sung) as YAML with the field names of a warm-up. The leader can paste it
 * into the warm-up's file, or save it for the command `handbook sung`, which does that.
 */

/** @typedef {{exercise: string, sung: string, top: string, remark: string}} SungItem */

/**
 * The log as YAML text.
 * @param {string} plan the name of the warm-up's file
 * @param {string} chorus
 * @param {SungItem[]} items
 */
export function lines(plan, chorus, items) {
  const head = [`warm_up: ${plan}`, `chorus: ${JSON.stringify(chorus)}`, "items:"];
  const body = items.flatMap(({ exercise, sung, top, remark }) => [
    `  - exercise: ${exercise}`,
    `    sung: ${sung}`,
    ...(top ? [`    top: ${top}`] : []),
    ...(remark.trim() ? [`    remark: ${JSON.stringify(remark.trim())}`] : []),
  ]);
  return `${[...head, ...body].join("\n")}\n`;
}

/**
 * The log that an earlier visit stored; null if it does not have the expected fields.
 * @param {Record<string, unknown>} fields
 * @returns {{items: SungItem[]} | null}
 */
export function readStored({ items }) {
  if (!Array.isArray(items)) return null;
  const names = /** @type {const} */ (["exercise", "sung", "top", "remark"]);
  const good = items.every((item) => item && names.every((name) => typeof item[name] === "string"));
  return good ? { items } : null;
}
