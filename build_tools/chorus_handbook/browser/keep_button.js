// @ts-check
/**
 * Puts the button "Keep on this device" on a page. On a warm-up, a routine or a list it keeps the page
 * with all exercises that the page links to; on an exercise, only that exercise. The button needs the
 * list of all files of the site. If the reader has told the browser to save data, that is loaded only
 * when the button's place comes into view.
 */

const base = new URL("../../", import.meta.url);
const EXERCISE = /^exercises\/[^/]+\/$/;

/** Makes the button. @param {HTMLElement} box its place on the page */
async function show(box) {
  const [{ KeepControl }, { KeptFiles, pageAt }] = await Promise.all([import("./keep_control.js"), import("./kept_files.js")]);
  const links = /** @type {NodeListOf<HTMLAnchorElement>} */ (document.querySelectorAll("article a[href]"));
  const pages = new Set([...links].map(({ href }) => pageAt(base, href) ?? "").filter((page) => EXERCISE.test(page)));
  const { title = "", label = "" } = box.dataset;
  const page = pageAt(base, location.href) ?? "";
  const inside = EXERCISE.test(page) ? [] : [...pages];
  const control = new KeepControl(box, new KeptFiles(base), { page, title, pages: inside, everything: false }, label);
  await control.look(); // if that fails, a tap tells why
}

const seen = new IntersectionObserver((entries) => {
  for (const { isIntersecting, target } of entries) {
    if (!isIntersecting) continue;
    seen.unobserve(target);
    showOrLog(/** @type {HTMLElement} */ (target));
  }
});
const showOrLog = (/** @type {HTMLElement} */ box) => void show(box).catch((reason) => console.info("keep", reason));

const { saveData } = /** @type {{saveData?: boolean}} */ (Reflect.get(navigator, "connection") ?? {});
for (const box of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".hb-keep"))) {
  if (saveData) seen.observe(box);
  else showOrLog(box);
}
