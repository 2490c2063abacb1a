// @ts-check
/**
 * Ticks the theme's box for the colours that are shown. The theme itself ticks none until a reader
 * has chosen, and a screen reader would say that neither is chosen.
 */

/** @param {NodeListOf<HTMLInputElement>} boxes */
export function setUp(boxes) {
  const show = () => {
    const shown = document.body.dataset.mdColorScheme;
    for (const box of boxes) box.checked = box.dataset.mdColorScheme === shown;
  };
  new MutationObserver(show).observe(document.body, { attributeFilter: ["data-md-color-scheme"] });
  show();
}

setUp(document.querySelectorAll('input[name="__palette"]'));
