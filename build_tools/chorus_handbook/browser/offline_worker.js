// @ts-check
/**
 * The service worker. When there is no connection, it answers requests with the files that
 * `kept_files.js` has stored on this device. It stores nothing by itself, so it never has half of a page.
 *
 * A file whose address contains a hash of its content never changes, so it always comes from this device
 * if it is there. Pages and other files come from the network, if that answers soon enough.
 */

(() => {
  /** The worker itself, untyped, because TypeScript has no types for workers in a project for pages. @type {any} */
  const worker = self;
  const base = new URL("./", location.href);
  /** The version of the way in which files are stored; `kept_files.js` has the same number. */
  const FORMAT = 1;
  const [OURS, PLACE] = ["chorus-handbook files", base.pathname];
  const CACHE = `${OURS} ${FORMAT} ${PLACE}`;
  /** After this many milliseconds without an answer from the network, the stored file is used (our choice). */
  const PATIENCE = 4000;
  const HASHED = /\?sha256=[\w-]+$|\.[0-9a-f]{8,}(\.min)?\.(js|css|woff2)$/;
  const KEPT_PAGE = "kept/";

  worker.addEventListener("install", (/** @type {any} */ event) => event.waitUntil(worker.skipWaiting()));

  worker.addEventListener("activate", (/** @type {any} */ event) => {
    event.waitUntil(forgetOtherFormats().then(() => worker.clients.claim()));
  });

  worker.addEventListener("fetch", (/** @type {any} */ event) => {
    /** @type {Request} */
    const request = event.request;
    if (request.method !== "GET" || !request.url.startsWith(base.href) || request.headers.has("range")) return;
    event.respondWith(request.mode === "navigate" ? page(request) : file(request));
  });

  /** Deletes what earlier versions stored for this site, but not what other sites of this host have. */
  async function forgetOtherFormats() {
    const ours = (await caches.keys()).filter((name) => name.startsWith(`${OURS} `) && name.endsWith(` ${PLACE}`));
    await Promise.all(ours.filter((name) => name !== CACHE).map((name) => caches.delete(name)));
  }

  /** The answer for a page: from the network, or else the stored one; if there is neither, the page that says what is kept here. @param {Request} request */
  async function page(request) {
    const address = withoutQuestion(request.url);
    const kept = await keptAt(address);
    const answer = await fromNetwork(request, Boolean(kept));
    if (answer && (answer.status < 500 || !kept)) return answer;
    if (kept) return kept;
    const told = new URL(KEPT_PAGE, base);
    if (address === told.href || !(await keptAt(told.href))) return Response.error();
    told.searchParams.set("missing", address.slice(base.href.length));
    return Response.redirect(told.href);
  }

  /** The answer for any other file. @param {Request} request */
  async function file(request) {
    const address = request.url.replace(/#.*/, "");
    const kept = (await keptAt(address)) ?? (await keptAt(withoutQuestion(address)));
    if (kept && HASHED.test(address)) return kept;
    const answer = await fromNetwork(request, Boolean(kept));
    if (kept && !answer?.ok) return kept;
    return answer ?? Response.error();
  }

  /** The address under which a page is stored: without its query and "index.html". @param {string} address */
  function withoutQuestion(address) {
    return address.replace(/[?#].*/, "").replace(/\/index\.html$/, "/");
  }

  /** The stored file with this address, if there is one. @param {string} address @returns {Promise<Response | undefined>} */
  async function keptAt(address) {
    try {
      return await (await caches.open(CACHE)).match(address);
    } catch {
      return undefined; // storage is blocked
    }
  }

  /** The answer of the network; null if there is none. @param {Request} request @param {boolean} impatient whether to wait only for `PATIENCE` @returns {Promise<Response | null>} */
  function fromNetwork(request, impatient) {
    const answer = fetch(request).catch(() => null);
    if (!impatient) return answer;
    return Promise.race([answer, new Promise((done) => setTimeout(done, PATIENCE, null))]);
  }
})();
