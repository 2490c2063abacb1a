// @ts-check
/**
 * The scripts' words in the language of the handbook, as `catalogue.py` has them for the pages: an
 * English sentence with {named} places is looked up, and then the places are filled in.
 *
 * This is the English version, in which every message is its own translation. In a site in another
 * language, this file is published with that language's table instead, so that no page has to load a
 * second file.
 */

/**
 * The language as a BCP 47 tag, and the translation of each message: one text, or, for counts, the
 * forms by category of `Intl.PluralRules`. A message with a context has the context and U+0004 before
 * it.
 * @type {{language: string, messages: Record<string, string | Record<string, string>>}}
 */
const CATALOGUE = {"language": "en", "messages": {}};
const rules = new Intl.PluralRules(CATALOGUE.language);

/** The language of the handbook, as a BCP 47 tag. */
export function language() {
  return CATALOGUE.language;
}

/** @typedef {Record<string, string | number>} Values for the {named} places of a message */

/**
 * A message in the language of the handbook.
 * @param {string} message
 * @param {Values} [values]
 */
export function gettext(message, values) {
  const found = CATALOGUE.messages[message];
  return filled(typeof found === "string" ? found : message, values);
}

/**
 * A message in the language of the handbook whose English text has several meanings; `context` says
 * which one is meant.
 * @param {string} context
 * @param {string} message
 * @param {Values} [values]
 */
export function pgettext(context, message, values) {
  const found = CATALOGUE.messages[`${context}\u0004${message}`];
  return filled(typeof found === "string" ? found : message, values);
}

/**
 * The form of a message for a count, which fills the place {n}.
 * @param {string} one
 * @param {string} many
 * @param {number} n
 * @param {Values} [values]
 */
export function ngettext(one, many, n, values) {
  const forms = CATALOGUE.messages[one];
  const english = n === 1 ? one : many;
  const form = typeof forms === "object" ? forms[rules.select(n)] ?? forms.other : english;
  return filled(form ?? english, { n, ...values });
}

/**
 * @param {string} message
 * @param {Values} [values]
 */
function filled(message, values = {}) {
  return message.replace(/{(\w+)}/g, (place, name) => String(values[name] ?? place));
}

/**
 * A label, such as a voice's, as it is written within a sentence.
 * @param {string} label
 */
export function inside(label) {
  return pgettext("labels within a sentence", "lower") === "lower" ? label.toLowerCase() : label;
}

/**
 * A number with the decimal sign of the language.
 * @param {number} value
 */
export function decimal(value) {
  return String(value).replace(".", pgettext("decimal sign", "."));
}

/**
 * Items one after the other: "a, b, c".
 * @param {string[]} items
 */
export function joined(items) {
  if (!items.length) return "";
  return items.reduce((text, next) => pgettext("list", "{items}, {next}", { items: text, next }));
}

/**
 * A key's name with proper signs, and without the octave of its tonic, with which it would read as
 * a note: "Bb3" is "B♭".
 * @param {string} key
 */
export function keyName(key) {
  return key[0] + key.slice(1).replace(/\d+$/, "").replaceAll("#", "♯").replaceAll("b", "♭");
}
