// @ts-check
/** Writes what is asked as a view: the lines to paste into views.yml. */

/** @import { Asked, Facet } from "./narrowing.js" */

/** The longest slug and title that a view may have. */
const LONGEST_SLUG = 60;
const LONGEST_TITLE = 80;
/** The longest intro. */
const LONGEST_INTRO = 1000;
/** Words that are something else than a text in YAML. */
const NOT_TEXT = ["true", "false", "null"];

/**
 * The view as lines of YAML; empty if nothing is asked that a view can ask.
 * @param {Facet[]} facets
 * @param {Asked} asked
 * @param {string} order fields with commas between
 * @param {{ slugs: string[], titles: string[] }} taken what the new view must not be called
 */
export function viewLines(facets, asked, order, taken) {
  const parts = facets
    .filter((facet) => facet.inViews && asked.has(facet.field))
    .map((facet) => ({ facet, choices: facet.choices.filter(({ value }) => asked.get(facet.field)?.includes(value)) }));
  if (!parts.length) return "";
  const labels = parts.map(({ choices }) => choices.map((choice) => choice.label).join(", "));
  const intro = parts.map(({ facet }, place) => `${facet.legend}: ${labels[place]}.`).join(" ");
  const names = parts.flatMap(({ facet, choices }) => choices.map(({ value }) => nameOf(facet.field, value)));
  return [
    `- slug: ${unlike(shortened(names), taken.slugs, (name, n) => `${cut(name, LONGEST_SLUG - 4)}-${n}`)}`,
    `  title: ${quoted(unlike(clipped(labels.join(", "), LONGEST_TITLE - 4), taken.titles, (name, n) => `${name} ${n}`))}`,
    `  intro: ${quoted(clipped(intro, LONGEST_INTRO))}`,
    "  where:",
    ...parts.map(({ facet, choices }) => `    ${facet.field}: ${written(choices.map((choice) => choice.value))}`),
    ...(order === "title" ? [] : [`  order: [${order.split(",").join(", ")}]`]),
    "",
  ].join("\n");
}

/**
 * One value, or several in brackets.
 * @param {string[]} values
 */
function written(values) {
  const texts = values.map((value) => (NOT_TEXT.includes(value) ? quoted(value) : value));
  return texts.length === 1 ? texts[0] : `[${texts.join(", ")}]`;
}

/** A text in quotes, as JSON and YAML alike have it; YAML asks for more signs to be escaped. @param {string} text */
function quoted(text) {
  return JSON.stringify(text).replace(
    /[\u007f-\u009f\u2028\u2029\ufeff]/g,
    (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );
}

/**
 * @param {string} text
 * @param {number} longest in characters
 */
function clipped(text, longest) {
  const characters = [...text];
  return characters.length > longest ? `${characters.slice(0, longest - 1).join("")}…` : text;
}

/**
 * A value as part of a slug: words as they are, numbers after their field.
 * @param {string} field
 * @param {string} value
 */
function nameOf(field, value) {
  const name = /^[a-z]/.test(value) && !value.startsWith("at most") ? value : `${field} ${value}`;
  return name.replace(/[^a-z0-9]+/g, "-");
}

/** As many of the names as make a slug that is not too long. @param {string[]} names */
function shortened(names) {
  let slug = cut(names[0], LONGEST_SLUG);
  for (const name of names.slice(1)) if (slug.length + name.length < LONGEST_SLUG - 4) slug += `-${name}`;
  return slug;
}

/**
 * The beginning of a slug, which ends with a letter or digit.
 * @param {string} slug
 * @param {number} longest
 */
function cut(slug, longest) {
  return slug.slice(0, longest).replace(/-+$/, "");
}

/**
 * A name that nothing else has, numbered if need be.
 * @param {string} name
 * @param {string[]} taken
 * @param {(name: string, n: number) => string} numbered
 */
function unlike(name, taken, numbered) {
  /** As views compare titles: without regard to case and spaces. @param {string} one */
  const plain = (one) => one.normalize("NFKC").toLowerCase().replace(/\s+/g, "");
  const others = new Set(taken.map(plain));
  let free = name;
  for (let n = 2; others.has(plain(free)); n += 1) free = numbered(name, n);
  return free;
}
