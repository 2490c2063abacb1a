// @ts-check
/**
 * Takes a text apart into the words that the search compares: in lower case, without accents and
 * apostrophes. English words are reduced to their stems, so that "singing" finds "sings", and numbers are
 * written as figures ("Four-part" becomes "4", "part").
 */

import { stemmer } from "./vendored/stemmer.js";

/** Words longer than this are cut: nothing in a handbook is as long. */
const LONGEST = 40;
/** Plain letters for those that Unicode does not split into a letter and an accent. */
const LETTERS = { ß: "ss", æ: "ae", œ: "oe", ø: "o", đ: "d", ð: "d", þ: "th", ł: "l", ħ: "h", ı: "i" };
const NUMBERS = "zero one two three four five six seven eight nine ten eleven twelve".split(" ");
/** The figure for each of these words. "One" is left out, since it mostly counts nothing ("the one where ..."). */
const FIGURES = new Map(NUMBERS.map((word, number) => [word, String(number)]));
FIGURES.delete("one");
/** Meters as they are spoken: "five-four" is 5/4. */
const SPOKEN_METER = new RegExp(`\\b(${NUMBERS.slice(2).join("|")})[- ](two|four|eight)\\b`, "g");
/**
 * English words that say nothing of what is looked for. Words about direction, number and time are not
 * among them, since exercises are told apart by them.
 */
const SILENT = new Set(
  (
    "a about again all also always am an and any anyone are as at be been being but by can cannot cant could did do " +
    "does doing dont each else ever every everyone exercise exercises for from get gets getting give go goes going got had has have " +
    "having he help her him his how i if im in into is it its just keep keeps know let like make makes many me more " +
    "most much my need needs never no not of ok on one ones or our ours people please really say says she should so " +
    "some somebody someone something still such than that the their them then there these they thing things this " +
    "those to too until us use very want wants was we were what when where which while who whose why will with " +
    "without wont would you your"
  ).split(" "),
);
/**
 * English words that take something away. What `LACKS` stands before is not wanted ("no tenors"); what
 * `FAILS` stands before is mostly wanted all the more ("cannot get high"), unless the handbook has a name
 * for just that ("cannot stand").
 */
const LACKS = new Set(["no", "without"]);
const FAILS = new Set(["cannot", "cant", "dont", "not"]);
/** How many silent words may stand between such a word and what it takes away: "without a voice". */
const BETWEEN = 2;
/** English words that say little of what is looked for, though a name may have them ("Only when warm"). So does "out" before "of". */
const FAINT = new Set("only quite rather".split(" "));
/** An ending that Porter's stemmer leaves on adverbs: "softli" for "softly". */
const ADVERB = /^(.{4,})li$/;
/** Languages that write no spaces between words. */
const UNSPACED = /^(ja|zh|yue|th|km|lo|my)\b/;

/**
 * How texts of one language are taken apart:
 * - written: the words of a text, in lower case and without accents.
 * - stem: the stem of such a word, by which words are compared.
 * - words: the stems of all words of a text.
 * - silent: whether a word says nothing of what is looked for, such as "the".
 * - faint: whether it says little before the next word, such as "out" in "out of tune".
 * - taken: for each written word, what takes it away: "lacks" ("no"), "fails" ("cannot"), or "" for nothing.
 * - terms: what is compared of a name, in order: the stems of its words that are not silent; of one that
 *   is taken away, `lackOf` its stem.
 * @typedef {object} Language
 * @property {(text: string) => string[]} written
 * @property {(word: string) => string} stem
 * @property {(text: string) => string[]} words
 * @property {(word: string) => boolean} silent
 * @property {(word: string, next?: string) => boolean} faint
 * @property {(words: string[]) => ("lacks" | "fails" | "")[]} taken
 * @property {(text: string) => string[]} terms
 */

/**
 * How texts in a language are taken apart. In languages other than English, words are not reduced to
 * stems and none is silent.
 * @param {string} tag a BCP 47 tag
 * @returns {Language}
 */
export function languageOf(tag) {
  const english = /^en\b/i.test(tag);
  /** The stem of each word so far: a handbook has few different words. @type {Map<string, string>} */
  const stems = new Map();
  /** @param {string} word */
  function stem(word) {
    let known = stems.get(word);
    if (known === undefined) {
      known = FIGURES.get(word) ?? (/^[a-z]+$/.test(word) ? stemmer(word).replace(ADVERB, "$1") : word);
      stems.set(word, known);
    }
    return known;
  }
  if (english) {
    const written = (/** @type {string} */ text) => plainWords(metersAsFigures(folded(text)));
    const silent = (/** @type {string} */ word) => SILENT.has(word);
    const taken = (/** @type {string[]} */ words) => takenAway(words, silent);
    const terms = (/** @type {string} */ text) => {
      const words = written(text);
      const away = taken(words);
      return words.flatMap((word, at) => (silent(word) ? [] : [away[at] ? lackOf(stem(word)) : stem(word)]));
    };
    return { written, stem, words: (text) => written(text).map(stem), silent, faint: (word, next) => FAINT.has(word) || (word === "out" && next === "of"), taken, terms };
  }
  const segments = UNSPACED.test(tag) && "Segmenter" in Intl ? new Intl.Segmenter(tag, { granularity: "word" }) : null;
  const words = (/** @type {string} */ text) => {
    const plain = folded(text);
    return plainWords(segments ? [...segments.segment(plain)].map(({ segment }) => segment).join(" ") : plain);
  };
  return { written: words, stem: (word) => word, words, silent: () => false, faint: () => false, taken: (all) => all.map(() => ""), terms: words };
}

/** The term for the lack of something: "no tenor", which no single word is. @param {string} stem */
export function lackOf(stem) {
  return `no ${stem}`;
}

/** What takes each word away. @param {string[]} words @param {(word: string) => boolean} silent @returns {("lacks" | "fails" | "")[]} */
function takenAway(words, silent) {
  const taken = words.map(() => /** @type {"lacks" | "fails" | ""} */ (""));
  words.forEach((word, at) => {
    const how = LACKS.has(word) ? "lacks" : FAILS.has(word) ? "fails" : "";
    if (!how) return;
    const next = words.slice(at + 1, at + 2 + BETWEEN).findIndex((other) => !silent(other));
    if (next >= 0) taken[at + 1 + next] = how;
  });
  return taken;
}

/** A text in lower case, without accents and apostrophes. @param {string} text */
export function folded(text) {
  return text
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[ßæœøđðþłħı]/g, (letter) => LETTERS[/** @type {keyof typeof LETTERS} */ (letter)])
    .replace(/['’ʼ]/g, "");
}

/** The words and numbers of a text; a meter such as "5/4" is one. @param {string} text */
function plainWords(text) {
  return (text.match(/\d+\/\d+|[\p{L}\p{N}]+/gu) ?? []).map((word) => word.slice(0, LONGEST));
}

/** A text with spoken meters written as figures: "5/4" for "five-four". @param {string} text */
function metersAsFigures(text) {
  return text.replace(SPOKEN_METER, (_, beats, value) => `${FIGURES.get(beats)}/${FIGURES.get(value)}`);
}
