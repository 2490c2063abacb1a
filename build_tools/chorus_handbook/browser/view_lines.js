// @ts-check
/**
 * Writes what is chosen on the page "Find an exercise" as a view, a saved list: the lines that an author
 * pastes into views.yml.
 */

/** @import { Asked, Facet } from "./narrowing.js" */

/** The longest slug and title that a view may have. */
const LONGEST_SLUG = 60;
const LONGEST_TITLE = 80;
/** The longest intro. */
const LONGEST_INTRO = 1000;
/** Words that YAML would not read as texts. */
const NOT_TEXT = ["true", "false", "null"];

/**
 * The view as lines of YAML; "" if nothing is chosen that a view can have as a condition.
 * @param {Facet[]} facets
 * @param {Asked} asked
 * @param {string} order the fields by which the list is sorted, with commas between
 * @param {{ slugs: string[], titles: string[] }} taken names that other views have already
 */
export function viewLines(facets, asked, order, taken) {
  const parts = facets
    .filter((facet) => facet.inViews && asked.has(facet.field))
    .map((facet) => ({ facet, choices: facet.choices.filter(({ value }) => asked.get(facet.field)?.includes(value)) }));
  if (!parts.length) return "";
  const labels = parts.map(({ choices }) => choices.map((choice) => choice.label).join(", "));
  // "up to a fifth" alone may be the range or an interval
  const named = parts.map(({ facet }, place) => (facet.kind === "most" ? `${facet.legend} ${labels[place]}` : labels[place]));
  const intro = parts.map(({ facet }, place) => `${facet.legend}: ${labels[place]}.`).join(" ");
  const names = parts.flatMap(({ facet, choices }) => choices.map(({ value }) => nameOf(facet.field, value)));
  return [
    `- slug: ${unlike(shortened(names), taken.slugs, (name, n) => `${cut(name, LONGEST_SLUG - 4)}-${n}`)}`,
    `  title: ${quoted(unlike(clipped(named.join(", "), LONGEST_TITLE - 4), taken.titles, (name, n) => `${name} ${n}`))}`,
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

/** A text in quotation marks, escaped as in JSON, and with the further characters that YAML wants escaped. @param {string} text */
function quoted(text) {
  return JSON.stringify(text).replace(
    /[\u007f-\u009f\u2028\u2029\ufeff]/g,
    (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );
}

/**
 * The text, shortened with "…" if it is too long.
 * @param {string} text
 * @param {number} longest in characters
 */
function clipped(text, longest) {
  const characters = [...text];
  return characters.length > longest ? `${characters.slice(0, longest - 1).join("")}…` : text;
}

/**
 * A value as part of a slug: a word as it is ("blend"), a number after the name of its field
 * ("impact-2").
 * @param {string} field
 * @param {string} value
 */
function nameOf(field, value) {
  const name = /^[a-z]/.test(value) && !value.startsWith("at most") ? value : `${field} ${value}`;
  return name.replace(/[^a-z0-9]+/g, "-");
}

/** A slug made of as many of the names as fit into it. @param {string[]} names */
function shortened(names) {
  let slug = cut(names[0], LONGEST_SLUG);
  for (const name of names.slice(1)) if (slug.length + name.length < LONGEST_SLUG - 4) slug += `-${name}`;
  return slug;
}

/**
 * The slug cut to its longest, without a hyphen at its end.
 * @param {string} slug
 * @param {number} longest
 */
function cut(slug, longest) {
  return slug.slice(0, longest).replace(/-+$/, "");
}

/**
 * A name that no other view has: `name` itself, or with a number from 2 on.
 * @param {string} name
 * @param {string[]} taken the names of other views
 * @param {(name: string, n: number) => string} numbered puts the number to the name
 */
function unlike(name, taken, numbered) {
  /** A name as views compare it: without regard to case and spaces. @param {string} one */
  const plain = (one) => one.normalize("NFKC").toLowerCase().replace(/\s+/g, "");
  const others = new Set(taken.map(plain));
  let free = name;
  for (let n = 2; others.has(plain(free)); n += 1) free = numbered(name, n);
  return free;
}
