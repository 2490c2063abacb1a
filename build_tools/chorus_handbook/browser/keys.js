// @ts-check
/**
 * The key chooser of an exercise page: puts the score in the chosen key in the place of the one
 * that is shown. The keys wait in <template> elements; ids are unique because only one of them is
 * in the document at a time. The address keeps the key (?key=Eb4).
 *
 * The figure tells of a new key ("handbook:key") and shows one that it is asked for
 * ("handbook:choose-key"), each with `detail: {key}`, so that the player keeps in step. A key that
 * a reader chooses is told to screen readers with how it begins; the player tells of its own.
 */

/** What the address may be asked for. */
const PARAMETER = "key";

/** @param {HTMLElement} chooser the group of buttons, which follows its figure */
export function setUp(chooser) {
  const before = chooser.previousElementSibling;
  const held = before?.querySelector(".hb-drawings");
  if (!(before instanceof HTMLElement) || !held) return;
  const [figure, drawings] = [before, held];
  /** @type {Map<string, DocumentFragment>} */
  const waiting = new Map();
  for (const template of document.querySelectorAll("template[data-key]")) {
    if (template instanceof HTMLTemplateElement && template.dataset.key) {
      waiting.set(template.dataset.key, template.content);
    }
  }
  const buttons = /** @type {HTMLButtonElement[]} */ ([...chooser.querySelectorAll("button")]);
  const said = chooser.querySelector("[role=status]");

  /** @param {string} key */
  function show(key) {
    const current = figure.dataset.key ?? "";
    const next = waiting.get(key);
    if (key !== current && next) {
      const left = document.createDocumentFragment();
      left.append(...drawings.childNodes);
      waiting.set(current, left);
      waiting.delete(key);
      drawings.append(next);
      figure.dataset.key = key;
      figure.dispatchEvent(new CustomEvent("handbook:key", { bubbles: true, detail: { key } }));
    }
    for (const button of buttons) {
      button.setAttribute("aria-pressed", String(button.dataset.key === figure.dataset.key));
    }
    for (const cell of document.querySelectorAll("[data-column]")) {
      cell.classList.toggle("hb-current", cell.getAttribute("data-column") === figure.dataset.key);
    }
  }

  /** Keeps room for the longest line of first notes, so that what follows stays where it is. */
  function reserve() {
    const shown = drawings.querySelector(".hb-give");
    if (!(shown instanceof HTMLElement)) return;
    const probe = /** @type {HTMLElement} */ (shown.cloneNode());
    probe.style.cssText = `position:absolute;visibility:hidden;min-height:0;width:${shown.clientWidth}px`;
    figure.append(probe);
    let most = 0;
    for (const one of [shown, ...[...waiting.values()].map((key) => key.querySelector(".hb-give"))]) {
      probe.innerHTML = one?.innerHTML ?? "";
      most = Math.max(most, probe.getBoundingClientRect().height);
    }
    probe.remove();
    figure.style.setProperty("--hb-give", `${most}px`);
  }

  /** @param {string} key */
  function choose(key) {
    show(key);
    const address = new URL(location.href);
    if (figure.dataset.key === buttons[0].dataset.key) address.searchParams.delete(PARAMETER);
    else address.searchParams.set(PARAMETER, key);
    history.replaceState(history.state, "", address);
    if (said) said.textContent = drawings.querySelector(".hb-give")?.textContent ?? "";
  }

  chooser.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest("button") : null;
    if (button?.dataset.key) choose(button.dataset.key);
  });
  chooser.addEventListener("keydown", (event) => {
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    const at = buttons.findIndex((button) => button === document.activeElement);
    const end = { Home: 0, End: buttons.length - 1 }[event.key];
    const next = at < 0 ? undefined : buttons[end ?? (step ? at + step : -1)];
    if (!next?.dataset.key) return;
    event.preventDefault();
    next.focus();
    choose(next.dataset.key);
  });
  figure.addEventListener("handbook:choose-key", (event) => {
    if (event instanceof CustomEvent) show(String(event.detail.key));
  });
  show(new URL(location.href).searchParams.get(PARAMETER) ?? "");
  chooser.hidden = false;
  let width = 0;
  new ResizeObserver(() => {
    if (figure.clientWidth === width) return;
    width = figure.clientWidth;
    reserve();
  }).observe(figure); // which calls back at once, too
}

for (const chooser of document.querySelectorAll(".hb-chooser")) {
  if (chooser instanceof HTMLElement) setUp(chooser);
}
