// @ts-check
/**
 * What a reader has stored, or asks for in the address, known before anything is painted: modules run
 * later, and what they change would move the page. A plain script within the score, or within the
 * form for an own range above lists; `pages/html.py` puts it there without this comment. Until the
 * module has done its work, the style sheet hides what it will change, for three seconds at most.
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
  if (place.dataset.index) return root.classList.toggle("hb-range-stored", Boolean(range));
  root.classList.toggle("hb-key-asked", new URLSearchParams(location.search).has("key"));
  const part = stored("playback")?.part ?? range?.voice;
  if (part && place.dataset.bass?.split(" ").includes(part)) place.dataset.clef = "bass";
})();
