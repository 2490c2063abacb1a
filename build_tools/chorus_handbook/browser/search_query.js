// @ts-check
/**
 * Works out what a reader's query means: its words, which words of the handbook each may stand for (with
 * another ending, a slip of the fingers, or a synonym), and numbers such as "4 parts".
 */

import { editDistance } from "./edit_distance.js";
import { lackOf } from "./search_words.js";

/** The most letters and words that are searched for, so that no search is slow, even if a whole page is pasted. */
export const MOST_LETTERS = 200;
const MOST_WORDS = 24;

/**
 * How well a word of the handbook stands for the word that was typed, from 0 to 1 (our choice): the same
 * word; two typed words written as one, or one as two; a word that begins with what was typed, and such
 * a word if the typed one exists itself; one slip, two slips; a synonym.
 */
const CLOSENESS = { same: 1, joined: 0.95, split: 0.9, begins: 0.6, goesOn: 0.3, oneSlip: 0.75, twoSlips: 0.5, synonym: 0.5 };
/** How many words of one of these kinds may stand for one typed word. */
const MOST_ALTERNATIVES = 8;

/** Words by their stems: after those of `UNITS`, and before those of `SCALES`, a number says what an exercise must be like. */
const UNITS = /** @type {const} */ ({ part: "parts", voic: "parts", minut: "minutes", min: "minutes" });
const SCALES = /** @type {const} */ ({ impact: "impact", level: "level" });

/**
 * The numbers of a query that were understood.
 * @typedef {{parts?: number, minutes?: number, impact?: number, level?: number}} Numbers
 *
 * A word of the query.
 * @typedef {object} Word
 * @property {string} typed in small letters, without accents
 * @property {boolean} silent whether it says nothing of what is looked for, such as "the", or is not wanted
 * @property {boolean} faint whether it says little of it, such as "out"
 * @property {boolean} unwanted whether it is not wanted: "tenors" in "no tenors"
 * @property {boolean} counted whether it is part of a number that was understood
 * @property {Map<string, number>} means the stems of the handbook's words that it may stand for, and how
 *   well (0 to 1)
 *
 * A query that was worked out. `cut`: whether it was so long that its end was left out.
 * @typedef {{words: Word[], numbers: Numbers, cut: boolean}} Query
 *
 * What the search knows of the words of a handbook.
 * @typedef {object} Known
 * @property {(stem: string) => boolean} has whether the handbook has a word with this stem
 * @property {(stem: string, next: string) => boolean} follow whether two words stand side by side in a title,
 *   a summary or the like
 * @property {[string, string][]} words each word as it is written, with its stem, in alphabetical order
 * @property {(stem: string) => string[]} synonyms the stems of words that mean much the same
 * @property {[number, string[]][]} impacts each impact for which the handbook has a name of several words,
 *   with the stems of these words
 */

/**
 * Works out a query.
 * @param {string} text as it was typed
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
    faint: language.faint(typed, written[place + 1]),
    unwanted: false,
    counted: counted.has(place),
    means: meanings(typed, place === last, language, known),
  }));
  joinNeighbours(words, language, known);
  language.taken(written).forEach((how, place) => how && takeAway(words[place], how, known));
  return { words, numbers, cut: letters.length > MOST_LETTERS || all.length > MOST_WORDS };
}

/**
 * Lets a word that is taken away mean what the handbook calls the lack of it ("no piano"). Where there is no
 * such name, "no tenors" asks for nothing that has to do with tenors, and "cannot blend" still for blend.
 * @param {Word} word
 * @param {"lacks" | "fails"} how
 * @param {Known} known
 */
function takeAway(word, how, known) {
  if (word.counted) return;
  const lacks = [...word.means].flatMap(([stem, closeness]) => (known.has(lackOf(stem)) ? [/** @type {const} */ ([lackOf(stem), closeness])] : []));
  if (lacks.length) word.means = new Map(lacks);
  else if (how === "lacks") Object.assign(word, { silent: true, unwanted: true, means: new Map() });
}

/** The numbers among words that say what an exercise must be like, and the places of the words that say so. @param {string[]} words their stems @param {Known["impacts"]} impacts */
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
 * The words of the handbook that a typed word may stand for, by their stems, and how well: the same word
 * and its synonyms; words that begin with it; and if the handbook does not have it, two words written as
 * one, or words that differ by a slip or two.
 * @param {string} typed
 * @param {boolean} unfinished whether the reader may still be typing it
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
  if (!halves.length) slips(typed, word, known).forEach(([other, closeness]) => add(other, closeness));
  return means;
}

/** The stems of the shortest words that begin with what was typed. @param {string} typed @param {Known} known */
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
 * The stems of two words of the handbook that were written as one, such as "liptrill"; empty if there are
 * no such two.
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
 * The stems of the words of the handbook that are most like a typed one, each with how well it stands for
 * it. `slipsAllowed` says how many slips; the beginning must be right (`beginsAlike`). A word whose letters are only in another order may have one more.
 * @param {string} typed
 * @param {string} typedStem
 * @param {Known} known
 * @returns {[string, number][]}
 */
function slips(typed, typedStem, { words }) {
  const letters = [...typed].sort().join("");
  /** @type {[string, number][]} */
  const found = [];
  for (const [word, stem] of words) {
    if (Math.abs(word.length - typed.length) > 2 || !beginsAlike(typed, word)) continue;
    const shortest = Math.min(typedStem.length, stem.length);
    const shuffled = word.length === typed.length && [...word].sort().join("") === letters;
    const most = slipsAllowed(Math.min(typed.length, word.length), shortest, shuffled);
    const distance = editDistance(typed, word, most);
    const changed = distance === 1 && word.length === typed.length && !shuffled;
    if (distance < Infinity && !(changed && word.length <= SHORT)) found.push([stem, distance]);
  }
  const least = Math.min(...found.map(([, distance]) => distance));
  return found
    .filter(([, distance]) => distance === least)
    .slice(0, MOST_ALTERNATIVES)
    .map(([stem, distance]) => [stem, distance < 2 ? CLOSENESS.oneSlip : CLOSENESS.twoSlips]);
}

/** Letters that a word may begin with as well, because they sound the same: "kanon". */
const SOUNDS_LIKE = new Set(["ck", "kc", "sz", "zs", "cs", "sc"]);

/** Whether two words begin with the same letter, or one that sounds the same, or with two letters swapped. @param {string} typed @param {string} word */
function beginsAlike(typed, word) {
  return word[0] === typed[0] || SOUNDS_LIKE.has(typed[0] + word[0]) || (word[0] === typed[1] && word[1] === typed[0]);
}

/** The length up to which another letter makes another word, such as "mask" and "mast": there, a slip is a letter too many, too few, or two swapped. */
const SHORT = 4;

/**
 * How many slips there may be between two words: none below four letters, one in short words, two in those
 * that are long even without their endings, since "chatting" and "changing" only share theirs (our choice).
 * @param {number} shorter the letters of the shorter of the two
 * @param {number} stem the letters of the shorter of their stems
 * @param {boolean} shuffled whether both have the same letters
 */
function slipsAllowed(shorter, stem, shuffled) {
  const most = shorter < 3 ? 0 : stem < 7 || shorter < 8 ? 1 : 2;
  return most && shuffled ? 2 : most;
}

/**
 * Adds to two neighbouring words the word that the handbook writes for both as one, such as "flashcards".
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
