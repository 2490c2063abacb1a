// @ts-check
/**
 * Whether there is a connection, as the page has said it (`no_signal.js`), and what then is kept on this
 * device, for lists that show it first.
 */

const SITE = new URL("../../", import.meta.url);

/** The class of the root element while there is no connection. */
export const WITHOUT_SIGNAL = "hb-without-signal";
/** Sent to the document when the connection is lost or is back. */
export const SIGNAL_EVENT = "handbook:signal";

/** Whether the page has said that there is no connection. */
export function withoutSignal() {
  return document.documentElement.classList.contains(WITHOUT_SIGNAL);
}

/**
 * Without a connection, a function that says whether a page is kept on this device, by its address below
 * the site; null while there is one.
 * @returns {Promise<((page: string) => boolean) | null>}
 */
export async function keptHere() {
  if (!withoutSignal()) return null;
  const { KeptFiles } = await import("./kept_files.js");
  const kept = await new KeptFiles(SITE).addresses().catch(() => /** @type {Set<string>} */ (new Set()));
  return (page) => kept.has(new URL(page, SITE).href);
}

/**
 * These items, with those first whose page is kept.
 * @template T
 * @param {T[]} items
 * @param {(item: T) => boolean} isKept
 */
export function keptFirst(items, isKept) {
  return [...items].sort((one, other) => Number(isKept(other)) - Number(isKept(one)));
}
