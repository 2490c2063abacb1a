// @ts-check
/**
 * Makes a page large before it is first painted, if the reader has chosen large print. This is no module,
 * because modules run too late: `pages/site_head.py` puts it, without this comment, into the head of
 * every page. `large_print.js` has the button.
 */
(() => {
  const script = document.currentScript;
  if (!script) return;
  try {
    const handbook = new URL(script.dataset.top ?? "", location.href).pathname;
    const stored = JSON.parse(localStorage.getItem(`${script.dataset.name} ${handbook}`) ?? "null");
    document.documentElement.classList.toggle("hb-large", stored?.large === true);
  } catch {
    // storage is blocked, or something else was written there
  }
})();
