// @ts-check
/** Keeps the page that was opened on this device, and starts the service worker that will answer with it when there is no signal. */

import { BLOCKED, ConnectionError, KeepError, KeptFiles, pageAt, WORKER } from "./kept_files.js";

/**
 * Keeps a page. If the list of the site's files is empty, as with `handbook serve`, nothing is kept, and
 * what an earlier site at this address has left behind is removed.
 * @param {URL} base the address of the site
 * @param {string} address of the page
 */
export async function keepOpened(base, address) {
  const kept = new KeptFiles(base);
  const files = await kept.list().catch(async (reason) => {
    if (reason instanceof ConnectionError) await (await import("./no_signal.js")).tellNoSignal(base);
    throw reason;
  });
  if (!files.size) return kept.removeAll();
  await startWorker(base);
  const page = pageAt(base, address);
  if (page !== null) await kept.opened(files, page);
}

/** Starts the service worker for the whole site. Throws KeepError if the browser does not allow it. @param {URL} base the address of the site */
export async function startWorker(base) {
  const registered = await navigator.serviceWorker
    ?.register(new URL(WORKER, base), { scope: base.href, updateViaCache: "none" })
    .catch((reason) => console.warn("worker", reason));
  if (!registered) throw new KeepError(BLOCKED());
  registered.update().catch(() => {}); // where the worker of an earlier site is still there, it goes now
}
