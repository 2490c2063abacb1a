// @ts-check
/**
 * Loads search when the first letter is typed: the theme's index and worker are a quarter of the
 * size of a page, and most pages are read without searching.
 *
 * The theme starts this worker in place of its own, whose name is after the "#" and which is in the
 * same folder. It says at once that it is ready. When something is searched for, it loads the
 * theme's worker into itself, and from then on passes every message on to it. The theme's page does
 * not load the index itself any more, because its search form has another name (`theme_fixes.py`).
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
