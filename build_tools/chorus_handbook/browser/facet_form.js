// @ts-check
/**
 * The form of the page "Find an exercise". It has a fieldset for each facet (a field of exercises that
 * can be asked for, such as their goals), whose controls choose values; beside each value stands how
 * many exercises it would find. The page itself is `find.js`.
 */

import { gettext } from "./words.js";

/** @import { Facet } from "./narrowing.js" */
/** A checkbox for one value, a radio button for one bound ("at most 10"), or a drop-down list of values. @typedef {HTMLInputElement | HTMLSelectElement} Control */

/**
 * Reads a facet from its fieldset.
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

/** The elements for the single values of a facet, without the one for "any". @param {Control[]} facet its controls */
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
 * Chooses these values of a facet in the form, and no others.
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
 * Shows beside each choice how many exercises it would find.
 * @param {Control[]} facet its controls
 * @param {(number | null)[]} counts one for each choice, in order; null where it is not known
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
 * Says beside a facet that any of its values is enough, once there are two.
 * @param {Control[]} facet its controls
 * @param {number} chosen how many values are chosen
 */
export function sayAnyOf(facet, chosen) {
  facet[0]?.closest("fieldset")?.querySelector(".hb-facet-any")?.toggleAttribute("hidden", chosen < 2);
}

/** Opens the form in which a reader sets the range that "My range" asks for. @param {HTMLFormElement} form */
export function openOwnRange(form) {
  const own = form.querySelector(".hb-own details");
  if (!(own instanceof HTMLDetailsElement)) return;
  own.open = true;
  own.querySelector("summary")?.focus();
}

/**
 * Writes a text, but only if it is not there already, so that screen readers do not say it again.
 * @param {HTMLElement} place
 * @param {string} text
 */
export function say(place, text) {
  if (place.textContent !== text) place.textContent = text;
}
