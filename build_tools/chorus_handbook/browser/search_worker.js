// @ts-check
/**
 * Search, loaded at the first letter that is typed: the theme's index and its worker are a quarter
 * of what a page weighs, and most pages are read without a search.
 *
 * The theme starts this worker in the place of its own, which is named after the "#" and lies in the
 * same folder. It answers at once that it is ready and that nothing was asked for yet; when something
 * is, it loads the theme's worker into itself and from then on hands it every message. The theme's
 * page no longer loads the index, since its search form has another name (`theme_fixes.py`).
 */

(() => {
  /** The theme's messages, by the numbers that it gives them. */
  const [SETUP, READY, QUERY, RESULT] = [0, 1, 2, 3];
  const INDEX = "../../../search/search_index.json";

  /** @type {Promise<void> | null} */
  let loading = null;
  /** The newest question, which is all that is asked once the index is there. */
  let question = "";

  /** @param {MessageEvent} event */
  function answer(event) {
    if (event.data.type !== QUERY) return;
    event.stopImmediatePropagation();
    question = event.data.data;
    if (!question) postMessage({ type: RESULT, data: { items: [] } });
    else loading ??= load().catch((reason) => {
      loading = null; // the next letter tries again
      console.warn("search", reason);
    });
  }

  async function load() {
    const found = await fetch(new URL(INDEX, location.href));
    if (!found.ok) throw new Error(`${found.status}`);
    const { config, docs } = await found.json();
    const worker = /** @type {{importScripts: (address: string) => void, postMessage: typeof postMessage}} */ (
      /** @type {unknown} */ (self)
    );
    worker.importScripts(new URL(location.hash.slice(1), location.href).href);
    // What it says first is that it is ready, after the words of other languages have been loaded.
    const post = worker.postMessage;
    await new Promise((ready) => {
      worker.postMessage = ready;
      tell({ type: SETUP, data: { config, docs, options: { suggest: true } } });
    });
    worker.postMessage = post;
    removeEventListener("message", answer);
    tell({ type: QUERY, data: question });
  }

  /** @param {unknown} data a message as the theme's worker hears it */
  function tell(data) {
    dispatchEvent(new MessageEvent("message", { data }));
  }

  addEventListener("message", answer);
  postMessage({ type: READY });
})();
