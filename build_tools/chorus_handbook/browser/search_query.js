// @ts-check
/** What a reader searches for, understood: words, the numbers among them, and what each may mean. */

import { editDistance } from "./edit_distance.js";

/** Readers who paste a page are told that only so much of it is searched for, so that no search is slow. */
export const MOST_LETTERS = 200;
const MOST_WORDS = 24;

/** How well an alternative stands for a word that was typed, from 0 to 1 (our choice). */
const CLOSENESS = { same: 1, joined: 0.95, split: 0.9, begins: 0.6, goesOn: 0.3, oneSlip: 0.75, twoSlips: 0.5, synonym: 0.5 };
/** Most alternatives of one kind for one word. */
const MOST_ALTERNATIVES = 8;

/** The stems of units, after which or before which a number says what an exercise must be like. */
const UNITS = /** @type {const} */ ({ part: "parts", voic: "parts", minut: "minutes", min: "minutes" });
const SCALES = /** @type {const} */ ({ impact: "impact", level: "level" });

/**
 * @typedef {{parts?: number, minutes?: number, impact?: number, level?: number}} Numbers
 *
 * A word of the query.
 * @typedef {object} Word
 * @property {string} typed in small letters, without accents
 * @property {boolean} silent whether it says nothing of what is looked for
 * @property {boolean} counted whether it belongs to a number that was understood
 * @property {Map<string, number>} means the words of the handbook that it may stand for, and how well
 *
 * @typedef {{words: Word[], numbers: Numbers, cut: boolean}} Query
 *
 * What the search knows of the words of a handbook.
 * @typedef {object} Known
 * @property {(stem: string) => boolean} has
 * @property {(stem: string, next: string) => boolean} follow whether two stand side by side in a name or the like
 * @property {[string, string][]} words each as it is written and its stem, in the order of letters
 * @property {(stem: string) => string[]} synonyms
 * @property {[number, string[]][]} impacts what the handbook calls each impact in several words, such as "no voice", by its stems
 */

/**
 * @param {string} text
 * @param {import("./search_words.js").Language} language
 * @param {Known} known
 * @returns {Query}
 */
export function understand(text, language, known) {
  const letters = [...text];
  const all = language.written(letters.slice(0, MOST_LETTERS).join("")).filter((word, at, them) => word !== them[at - 1]);
  const written = all.slice(0, MOST_WORDS);
  const stems = written.map(language.stem);
  const { numbers, counted } = numbersIn(stems, known.impacts);
  const last = /[\p{L}\p{N}]$/u.test(text) ? written.length - 1 : -1;
  const words = written.map((typed, place) => ({
    typed,
    silent: language.silent(typed),
    counted: counted.has(place),
    means: meanings(typed, place === last, language, known),
  }));
  joinNeighbours(words, language, known);
  return { words, numbers, cut: letters.length > MOST_LETTERS || all.length > MOST_WORDS };
}

/** @param {string[]} words by their stems @param {Known["impacts"]} impacts */
function numbersIn(words, impacts) {
  /** @type {Numbers} */
  const numbers = {};
  /** @type {Set<number>} */
  const counted = new Set();
  words.forEach((word, place) => {
    const number = word === "on" || word === "singl" ? 1 : Number(word);
    if (!(number >= 0 && number <= 60)) return;
    const unit = UNITS[/** @type {keyof typeof UNITS} */ (words[place + 1])];
    const scale = SCALES[/** @type {keyof typeof SCALES} */ (words[place - 1])];
    if (unit) numbers[unit] ??= number;
    else if (scale) numbers[scale] ??= number;
    else return;
    counted.add(place).add(unit ? place + 1 : place - 1);
  });
  for (const [impact, label] of impacts) {
    const start = words.findIndex((_, place) => label.every((word, offset) => words[place + offset] === word));
    if (start < 0 || numbers.impact !== undefined) continue;
    numbers.impact = impact;
    label.forEach((_, offset) => counted.add(start + offset));
  }
  return { numbers, counted };
}

/**
 * The words of the handbook that a word may stand for: itself, or else one that it begins, two run
 * together, or one written with a slip or two.
 * @param {string} typed
 * @param {boolean} unfinished whether it may still be being typed
 * @param {import("./search_words.js").Language} language
 * @param {Known} known
 */
function meanings(typed, unfinished, language, known) {
  const word = language.stem(typed);
  /** @type {Map<string, number>} */
  const means = new Map();
  /** @type {(other: string, closeness: number) => void} */
  const add = (other, closeness) => {
    means.set(other, Math.max(closeness, means.get(other) ?? 0));
  };
  if (known.has(word)) add(word, CLOSENESS.same);
  for (const other of known.synonyms(word)) if (known.has(other)) add(other, CLOSENESS.synonym);
  if ((unfinished && typed.length > 1) || (!means.size && typed.length > 3)) {
    const closeness = means.has(word) ? CLOSENESS.goesOn : CLOSENESS.begins;
    for (const other of beginningWith(typed, known)) add(other, closeness);
  }
  if (means.has(word) || /^\d/.test(word)) return means;
  const halves = splitIn(typed, language, known);
  for (const half of halves) add(half, CLOSENESS.split);
  if (!halves.length) slips(typed, known).forEach(([other, closeness]) => add(other, closeness));
  return means;
}

/** The stems of the words that begin so. @param {string} typed @param {Known} known */
function beginningWith(typed, { words }) {
  let low = 0;
  for (let high = words.length; low < high; ) {
    const middle = (low + high) >> 1;
    if (words[middle][0] < typed) low = middle + 1;
    else high = middle;
  }
  const found = [];
  for (let place = low; place < words.length && words[place][0].startsWith(typed); place += 1) found.push(words[place]);
  return found.sort(([a], [b]) => a.length - b.length).slice(0, MOST_ALTERNATIVES).map(([, stem]) => stem);
}

/**
 * The two known words that were written as one, such as "liptrill".
 * @param {string} typed
 * @param {import("./search_words.js").Language} language
 * @param {Known} known
 */
function splitIn(typed, { stem }, known) {
  for (let at = typed.length - 3; at >= 3; at -= 1) {
    const halves = [stem(typed.slice(0, at)), stem(typed.slice(at))];
    if (known.follow(halves[0], halves[1])) return halves;
  }
  return [];
}

/**
 * The stems of the nearest known words. A short word must be right, a longer one may have a slip, a
 * long one two; so may one whose letters are all there. The first letter is seldom wrong.
 * @param {string} typed
 * @param {Known} known
 * @returns {[string, number][]}
 */
function slips(typed, { words }) {
  const most = typed.length < 4 ? 0 : typed.length < 7 ? 1 : 2;
  const letters = [...typed].sort().join("");
  /** @type {[string, number][]} */
  const found = [];
  for (const [word, stem] of most ? words : []) {
    if (Math.abs(word.length - typed.length) > most) continue;
    const shuffled = word.length === typed.length && [...word].sort().join("") === letters;
    const distance = editDistance(typed, word, shuffled ? 2 : most);
    if (distance < Infinity) found.push([stem, distance + (word[0] === typed[0] ? 0 : 0.5)]);
  }
  const least = Math.min(...found.map(([, distance]) => distance));
  return found
    .filter(([, distance]) => distance < least + 0.75)
    .sort(([, a], [, b]) => a - b)
    .slice(0, MOST_ALTERNATIVES)
    .map(([stem, distance]) => [stem, distance < 2 ? CLOSENESS.oneSlip : CLOSENESS.twoSlips]);
}

/**
 * Two words that the handbook writes as one, such as "flash cards".
 * @param {Word[]} words
 * @param {import("./search_words.js").Language} language
 * @param {Known} known
 */
function joinNeighbours(words, { stem }, known) {
  words.forEach((word, place) => {
    const next = words[place + 1];
    const joined = next ? stem(word.typed + next.typed) : "";
    if (word.counted || !known.has(joined)) return;
    word.means.set(joined, CLOSENESS.joined);
    next.means.set(joined, CLOSENESS.joined);
  });
}
