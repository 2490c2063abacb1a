// @ts-check
/**
 * Makes a page large before it is painted, if the reader has chosen large print. A classic script in
 * the head of every page; `pages/site_head.py` puts it there, without this comment.
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
