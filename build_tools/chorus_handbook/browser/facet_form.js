// @ts-check
/** The form of the page "Find an exercise": its facets, their controls, and the counts beside them. */

import { gettext } from "./words.js";

/** @import { Facet } from "./narrowing.js" */
/** A checkbox, one of several bounds, or a list of them. @typedef {HTMLInputElement | HTMLSelectElement} Control */

/**
 * A facet as the form has it.
 * @param {HTMLFieldSetElement} place
 * @returns {Facet}
 */
export function facetOf(place) {
  const field = place.dataset.field ?? "";
  return {
    field,
    legend: place.querySelector("legend")?.textContent ?? "",
    kind: place.dataset.kind === "most" ? "most" : "several",
    inViews: place.dataset.notInViews === undefined,
    choices: choicesOf([...place.querySelectorAll(`[name="${field}"]`)].filter(isControl)).map((choice) => ({
      value: choice.value,
      item: /^\d+$/.test(choice.dataset.item ?? "") ? Number(choice.dataset.item) : choice.dataset.item ?? "",
      label: choice.dataset.label ?? choice.nextElementSibling?.textContent ?? "",
    })),
  };
}

/** @param {Element} one @returns {one is Control} */
function isControl(one) {
  return one instanceof HTMLInputElement || one instanceof HTMLSelectElement;
}

/** The choices of a facet, without "any". @param {Control[]} facet its controls */
function choicesOf(facet) {
  /** @type {(HTMLOptionElement | HTMLInputElement)[]} */
  const choices = [];
  for (const one of facet) choices.push(...(one instanceof HTMLSelectElement ? one.options : [one]));
  return choices.filter(({ value }) => value);
}

/**
 * What readers see of a value of a facet.
 * @param {Facet} facet
 * @param {string} value
 */
export function labelOf(facet, value) {
  return facet.choices.find((choice) => choice.value === value)?.label ?? value;
}

/**
 * The controls of a facet.
 * @param {HTMLFormElement} form
 * @param {Facet} facet
 * @returns {Control[]}
 */
export function controls(form, { field }) {
  return [...form.querySelectorAll("input, select")].filter(isControl).filter(({ name }) => name === field);
}

/**
 * Chooses these values, and no others.
 * @param {Control[]} facet its controls
 * @param {string[]} values
 */
export function check(facet, values) {
  for (const control of facet) {
    if (control instanceof HTMLInputElement) control.checked = (values.length ? values : [""]).includes(control.value);
    else control.value = values[0] ?? "";
  }
}

/**
 * Shows beside each choice how many exercises it would find, or nothing where that is not known.
 * @param {Control[]} facet its controls
 * @param {(number | null)[]} counts
 */
export function showCounts(facet, counts) {
  const choices = choicesOf(facet);
  counts.forEach((n, place) => {
    const choice = choices[place];
    if (choice instanceof HTMLOptionElement) {
      say(choice, gettext("{label} ({n})", { label: choice.dataset.label ?? "", n: n ?? "" }));
    } else {
      const label = choice?.closest("label");
      label?.classList.toggle("hb-choice-none", !n);
      const shown = label?.querySelector(".hb-count");
      if (shown instanceof HTMLElement) say(shown, n === null ? "" : String(n));
    }
  });
}

/**
 * Writes a text where it has changed.
 * @param {HTMLElement} place
 * @param {string} text
 */
export function say(place, text) {
  if (place.textContent !== text) place.textContent = text;
}
