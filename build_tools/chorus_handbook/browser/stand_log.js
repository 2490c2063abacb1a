// @ts-check
/**
 * What was sung, as lines of the warm-up's own fields: to be pasted, or saved as a file for
 * `handbook sung`, which puts them where they belong.
 */

/** @typedef {{exercise: string, sung: string, top: string, remark: string}} SungItem */

/**
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
 * What an earlier visit stored; null where it is of no use.
 * @param {Record<string, unknown>} fields
 * @returns {{items: SungItem[]} | null}
 */
export function readStored({ items }) {
  if (!Array.isArray(items)) return null;
  const names = /** @type {const} */ (["exercise", "sung", "top", "remark"]);
  const good = items.every((item) => item && names.every((name) => typeof item[name] === "string"));
  return good ? { items } : null;
}
