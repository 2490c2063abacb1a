// @ts-check
/**
 * Reads the reader's stored choices, and the key asked for in the address, before the page is painted.
 * Modules run only after that, and their changes would make the page jump. So this script sets classes
 * and attributes with which the style sheet hides what a module is going to change, for three seconds
 * at most.
 *
 * It is a classic script inside the score, or inside the form for a reader's own range above lists.
 * `pages/html.py` puts it there, without this comment.
 */
(() => {
  const script = document.currentScript;
  const place = script?.parentElement;
  if (!place || !script?.dataset.stored) return;
  const file = place.dataset.index ?? document.querySelector(".hb-player")?.getAttribute("data-instrument");
  /** @type {Record<string, string>} */
  const names = JSON.parse(script.dataset.stored);
  /** @param {string} name */
  const stored = (name) => {
    try {
      const handbook = new URL("../../", new URL(file ?? "", location.href)).pathname;
      return JSON.parse(localStorage.getItem(`${names[name]} ${handbook}`) ?? "null");
    } catch {
      return null; // storage is blocked, or something else was written there
    }
  };
  const root = document.documentElement;
  const range = stored("own_range");
  root.classList.toggle("hb-range-stored", Boolean(range));
  if (place.dataset.index) return;
  root.classList.toggle("hb-key-asked", new URLSearchParams(location.search).has("key"));
  const part = stored("playback")?.part ?? range?.voice;
  if (part && place.dataset.bass?.split(" ").includes(part)) place.dataset.clef = "bass";
})();
