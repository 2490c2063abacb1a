// @ts-check
/**
 * The key chooser of an exercise page: shows the score in the chosen key.
 *
 * The scores in the other keys are in <template> elements. To show one, it is moved out of its template
 * and the score that was shown is put away, so that no id is on the page twice. The address of the page
 * keeps the key (?key=Eb4).
 *
 * The score element (`.hb-figure`) and the player stay in the same key by two events with
 * `detail: {key}`: the element sends "handbook:key" when its key has changed, and changes its key when it
 * receives "handbook:choose-key". Screen readers are told of a key that the reader chooses, with its
 * starting notes, but not of a key that the player comes to, because that is heard anyway.
 */

/** The parameter of the page's address that names a key. */
const PARAMETER = "key";

/** Makes a key chooser work. @param {HTMLElement} chooser the label with the choice, in the row above the figure */
export function setUp(chooser) {
  const score = chooser.closest(".hb-score");
  const found = score?.querySelector(".hb-figure");
  const place = score?.querySelector(".hb-drawings");
  const select = chooser.querySelector("select");
  if (!(found instanceof HTMLElement) || !place || !select) return;
  const [figure, drawings, choice] = [found, place, select];
  /** By key, the scores that are not shown. @type {Map<string, DocumentFragment>} */
  const hidden = new Map();
  for (const template of document.querySelectorAll("template[data-key]")) {
    if (template instanceof HTMLTemplateElement && template.dataset.key) {
      hidden.set(template.dataset.key, template.content);
    }
  }
  const status = score?.querySelector(".hb-chooser + [role=status]");

  /** Shows the score in a key, if there is one. @param {string} key */
  function show(key) {
    const current = figure.dataset.key ?? "";
    const next = hidden.get(key);
    if (key !== current && next) {
      const left = document.createDocumentFragment();
      left.append(...drawings.childNodes);
      hidden.set(current, left);
      hidden.delete(key);
      drawings.append(next);
      figure.dataset.key = key;
      figure.dispatchEvent(new CustomEvent("handbook:key", { bubbles: true, detail: { key } }));
    }
    choice.value = figure.dataset.key ?? "";
    for (const cell of document.querySelectorAll("[data-column]")) {
      cell.classList.toggle("hb-current", cell.getAttribute("data-column") === figure.dataset.key);
    }
  }

  choice.addEventListener("change", () => {
    show(choice.value);
    const address = new URL(location.href);
    if (choice.selectedIndex === 0) address.searchParams.delete(PARAMETER);
    else address.searchParams.set(PARAMETER, choice.value);
    history.replaceState(history.state, "", address);
    if (status) status.textContent = drawings.querySelector(".hb-give")?.textContent ?? "";
  });
  figure.addEventListener("handbook:choose-key", (event) => {
    if (event instanceof CustomEvent) show(String(event.detail.key));
  });
  show(new URL(location.href).searchParams.get(PARAMETER) ?? "");
  document.documentElement.classList.remove("hb-key-asked"); // before_paint.js
  chooser.hidden = false;
}

for (const chooser of document.querySelectorAll(".hb-chooser")) {
  if (chooser instanceof HTMLElement) setUp(chooser);
}
