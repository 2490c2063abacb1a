// @ts-check
/**
 * The service worker: answers from what `kept_files.js` has kept on this device when there is no
 * connection. It keeps nothing by itself, so it never has half of a page.
 *
 * Files whose address has a hash are answered from what is kept, since they never change. Pages, and
 * what has no hash, come from the network as long as it answers soon enough.
 */

(() => {
  /** TypeScript has no types for service workers beside those for pages. @type {any} */
  const worker = self;
  const base = new URL("./", location.href);
  /** Rises when files are kept in another way; `kept_files.js` has the same. */
  const FORMAT = 1;
  const [OURS, PLACE] = ["chorus-handbook files", base.pathname];
  const CACHE = `${OURS} ${FORMAT} ${PLACE}`;
  /** After so many milliseconds without an answer, what is kept is shown (our choice). */
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

  /** What an earlier form of this worker has kept for this site; other sites of this host keep theirs. */
  async function forgetOtherFormats() {
    const ours = (await caches.keys()).filter((name) => name.startsWith(`${OURS} `) && name.endsWith(` ${PLACE}`));
    await Promise.all(ours.filter((name) => name !== CACHE).map((name) => caches.delete(name)));
  }

  /** @param {Request} request */
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

  /** @param {Request} request */
  async function file(request) {
    const address = request.url.replace(/#.*/, "");
    const kept = (await keptAt(address)) ?? (await keptAt(withoutQuestion(address)));
    if (kept && HASHED.test(address)) return kept;
    const answer = await fromNetwork(request, Boolean(kept));
    if (kept && !answer?.ok) return kept;
    return answer ?? Response.error();
  }

  /** The address of a page as it is kept. @param {string} address */
  function withoutQuestion(address) {
    return address.replace(/[?#].*/, "").replace(/\/index\.html$/, "/");
  }

  /** @param {string} address @returns {Promise<Response | undefined>} */
  async function keptAt(address) {
    try {
      return await (await caches.open(CACHE)).match(address);
    } catch {
      return undefined; // storage is blocked
    }
  }

  /** @param {Request} request @param {boolean} impatient @returns {Promise<Response | null>} */
  function fromNetwork(request, impatient) {
    const answer = fetch(request).catch(() => null);
    if (!impatient) return answer;
    return Promise.race([answer, new Promise((done) => setTimeout(done, PATIENCE, null))]);
  }
})();
