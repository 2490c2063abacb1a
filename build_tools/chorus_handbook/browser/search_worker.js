// @ts-check
/**
 * Loads the search only when the first letter is typed: the theme's index and search worker are a
 * quarter of the size of a page, and most pages are read without searching.
 *
 * The theme starts this worker instead of its own. The file name of the theme's own worker, which is
 * in the same folder, comes after the "#" in this worker's address. This worker reports at once that it
 * is ready. At the first search it imports the theme's worker, which from then on receives every
 * message. The theme's page script does not load the index itself, because `theme_fixes.py` has given
 * the search form another name.
 */

(() => {
  /** The theme's numbers for its kinds of messages. */
  const [SETUP, READY, QUERY, RESULT] = [0, 1, 2, 3];
  const INDEX = "../../../search/search_index.json";

  /** @type {Promise<void> | null} */
  let loading = null;
  /** The latest query: the only one that is sent to the theme's worker once it is loaded. */
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
    // The first message of the theme's worker says that it is ready, with the support for languages loaded.
    const post = worker.postMessage;
    await new Promise((ready) => {
      worker.postMessage = ready;
      sendToTheme({ type: SETUP, data: { config, docs, options: { suggest: true } } });
    });
    worker.postMessage = post;
    removeEventListener("message", answer);
    sendToTheme({ type: QUERY, data: question });
  }

  /** Sends a message to the theme's worker, as if the page had. @param {unknown} data */
  function sendToTheme(data) {
    dispatchEvent(new MessageEvent("message", { data }));
  }

  addEventListener("message", answer);
  postMessage({ type: READY });
})();
