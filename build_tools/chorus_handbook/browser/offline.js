// @ts-check
/**
 * On every page: keeps it on this device, when there is nothing else to do, so that it opens again
 * without a signal. Where the reader saves data, only what they ask for is kept. Without a connection,
 * it says so.
 */

/** The address of the site, two folders above this script. */
const base = new URL("../../", import.meta.url);
/** Milliseconds after which a page counts as idle in browsers without `requestIdleCallback`. */
const AT_REST_MS = 2000;

async function keepThisPage() {
  const { keepOpened } = await import("./opened_pages.js");
  await keepOpened(base, location.href);
}

async function tell() {
  const { tellNoSignal } = await import("./no_signal.js");
  await tellNoSignal(base);
}

const tellIfKept = () => void tell().catch((reason) => console.info("no signal:", reason.message));

function whenAtRest() {
  const task = () => void keepThisPage().catch((reason) => console.info("not kept:", reason.message));
  if ("requestIdleCallback" in window) requestIdleCallback(task);
  else setTimeout(task, AT_REST_MS);
}

if (window.isSecureContext) {
  if (!navigator.onLine) tellIfKept();
  window.addEventListener("offline", tellIfKept);
}
const { saveData } = /** @type {{saveData?: boolean}} */ (Reflect.get(navigator, "connection") ?? {});
if (window.isSecureContext && !saveData && navigator.onLine) {
  if (document.readyState === "complete") whenAtRest();
  else window.addEventListener("load", whenAtRest, { once: true });
}
