// @ts-check
/**
 * Reads the reader's stored choices, and the key that the address asks for, before the page is first
 * painted. Modules run only after that, and what they change would make the page jump. So this script
 * sets classes and attributes by which the style sheet hides, for three seconds at most, whatever a
 * module is about to change.
 *
 * `pages/html.py` puts it, without this comment, into the score of an exercise, and into the form for a
 * reader's own range above lists.
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
