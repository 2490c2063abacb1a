// @ts-check
/**
 * Translates the texts that scripts show into the language of the handbook, as `catalogue.py` does for
 * pages. An English text with places such as {name} is looked up in the catalogue, and then the places are
 * filled in.
 *
 * In this file the catalogue is empty, so that every text stays English. A site in another language
 * publishes the file with that language's catalogue in it, so that no page has to load a second file.
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
 * The form of a message that is right for a count. The count is filled into the place {n}.
 * @param {string} one the English message for 1
 * @param {string} many the English message for any other count
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
 * A message with its places filled in; a place without a value stays as it is.
 * @param {string} message
 * @param {Values} [values]
 */
function filled(message, values = {}) {
  return message.replace(/{(\w+)}/g, (place, name) => String(values[name] ?? place));
}

/**
 * A label, such as that of a voice, as it is written within a sentence: in English in lower case.
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

/** A note with a real flat or sharp sign: "E♭4" for "Eb4". @param {string} note */
export function withSigns(note) {
  return note[0] + note.slice(1).replaceAll("#", "♯").replaceAll("b", "♭");
}

/**
 * The name of a key as pages write it: "B♭" for "Bb3". It has no octave, because with one it would read as
 * a note.
 * @param {string} key
 * @param {string} [named] how keys of its mode are said, such as "{tonic} minor" (`key_names` in `pages/words.py`)
 */
export function keyName(key, named = "{tonic}") {
  return named.replace("{tonic}", tonicName(key));
}

/** The name of a key's tonic: "B♭". @param {string} key */
function tonicName(key) {
  return key[0] + key.slice(1).replace(/\d+$/, "").replaceAll("#", "♯").replaceAll("b", "♭");
}
