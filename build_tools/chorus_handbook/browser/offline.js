// @ts-check
/**
 * Runs on every page. Once the browser has nothing else to do, it stores the page on this device, so that
 * the page opens again without a signal; not if the reader has told the browser to save data. If there is
 * no connection, it says so on the page.
 */

/** The address of the site, two folders above this script. */
const base = new URL("../../", import.meta.url);
/** Milliseconds after which a page counts as idle in browsers without `requestIdleCallback`. */
const AT_REST_MS = 2000;

/** Stores the page that is open. */
async function keepThisPage() {
  const { keepOpened } = await import("./opened_pages.js");
  await keepOpened(base, location.href);
}

/** Says on the page that there is no connection. */
async function tell() {
  const { tellNoSignal } = await import("./no_signal.js");
  await tellNoSignal(base);
}

/** The same; fails quietly if the script for it is not stored here. */
const tellIfKept = () => void tell().catch((reason) => console.info("no signal:", reason.message));

/** Stores the page once the browser is idle. */
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
