// @ts-check
/** Finds exercises and pages by words. It needs no page and no network: `search.js` loads what it searches. */

import { editDistance } from "./edit_distance.js";
import { fieldsOf, piecesOf } from "./search_entries.js";
import { MOST_LETTERS, understand } from "./search_query.js";
import { synonymsBy } from "./search_synonyms.js";
import { languageOf } from "./search_words.js";
import MiniSearch from "./vendored/minisearch.js";

/**
 * @typedef {import("./search_entries.js").Entry} Entry
 * @typedef {import("./search_entries.js").Piece} Piece
 *
 * What is searched: `labels` are the words for values of fields, as in index.json.
 * @typedef {{language: string, pages: Entry[], labels: Record<string, Record<string, string>>}} Data
 *
 * @typedef {object} Found
 * @property {Entry} entry
 * @property {string} heading the heading in the page under which it was found
 * @property {string} anchor
 * @property {string} line the line of text that matches best, where nothing else shows why it was found
 * @property {number} score
 */

const FIELDS = ["title", "names", "about", "summary", "text"];
/** What a match counts by where it is (our choice): names before what it is, and that before the text. */
const BOOST = { title: 5, names: 5, about: 3, summary: 2.5, text: 1 };
/** Warm-ups name what was done, not how: they come after what they are made of. */
const PRIOR = { exercise: 1, list: 1, goal: 1, routine: 1, page: 0.9, "warm-up": 0.6 };
/** How many of the best results are looked at closely, and how many are shown. */
const CLOSELY = 60;
/** How many pieces are taken in before the page is let go for a moment. */
const AT_ONCE = 100;
/**
 * What is added to a score, in its own multiples: if a name is the whole query; if it is the title, or
 * an everyday word that leads there; if all its pairs of words stand together.
 */
const WHOLE_NAME = 1.5;
const LEADING = 4;
const TOGETHER = 0.8;
/** What is added, in the same way, for a line that is quoted: for three of its words in a row or more, by how much of the query they are. */
const QUOTED = 2;
const QUOTE = 3;

export class SearchIndex {
  /** @param {Data} data */
  constructor({ language, pages, labels }) {
    this.labels = labels;
    this.language = languageOf(language);
    this.pieces = pages.flatMap(piecesOf);
    /** How many pieces have each stem. @type {Map<string, number>} */
    this.counts = new Map();
    /** The stem of each word as it is written. @type {Map<string, string>} */
    this.stems = new Map();
    /** Stems that stand side by side in a name, a summary and the like. @type {Set<string>} */
    this.pairs = new Set();
    this.engine = new MiniSearch({
      fields: FIELDS,
      extractField: (piece, field) => piece[field],
      stringifyField: (words) => words,
      tokenize: (words) => /** @type {string[]} */ (/** @type {unknown} */ (words)),
      processTerm: (word) => word,
    });
    /** The words of the lines of each piece, from when they are first looked at. @type {Map<number, Lines>} */
    this.lines = new Map();
    const synonyms = /^en\b/i.test(language) ? synonymsBy(this.language.stem) : new Map();
    /** @type {import("./search_query.js").Known} */
    this.known = {
      has: (stem) => this.counts.has(stem),
      follow: (stem, next) => this.pairs.has(`${stem} ${next}`),
      words: [],
      synonyms: (stem) => synonyms.get(stem) ?? [],
      impacts: Object.entries(labels.impact ?? {})
        .map(([impact, label]) => /** @type {[number, string[]]} */ ([Number(impact), this.language.words(label)]))
        .filter(([, stems]) => stems.length > 1), // a single word, such as "gentle", may mean something else
    };
  }

  /**
   * Takes in what can be found. The page is let go in between, since a large handbook takes a while.
   * @param {Data} data
   */
  static async of(data) {
    const index = new SearchIndex(data);
    for (let id = 0; id < index.pieces.length; id += 1) {
      index.#add(id);
      if (id % AT_ONCE === AT_ONCE - 1) await new Promise((done) => setTimeout(done));
    }
    index.known.words = [...index.stems].sort(([a], [b]) => (a < b ? -1 : 1));
    return index;
  }

  /** @param {number} id */
  #add(id) {
    /** @type {Record<string, any>} */
    const piece = { id };
    const all = new Set();
    for (const [field, text] of Object.entries(fieldsOf(this.pieces[id]))) {
      piece[field] = this.language.written(text).map((word) => {
        const stem = this.language.stem(word);
        this.stems.set(word, stem);
        all.add(stem);
        return stem;
      });
      if (field === "text") continue;
      for (let at = 1; at < piece[field].length; at += 1) this.pairs.add(`${piece[field][at - 1]} ${piece[field][at]}`);
    }
    for (const stem of all) this.counts.set(stem, (this.counts.get(stem) ?? 0) + 1);
    this.engine.add(piece);
  }

  /**
   * What is found, the best first, each page once.
   * @param {string} text
   * @returns {{found: Found[], terms: Set<string>, cut: boolean}} `terms` are the words it was found by
   */
  search(text) {
    const query = understand(text, this.language, this.known);
    const { words, numbers } = query;
    const asked = words.filter(({ silent, counted, means }) => !silent && !counted && means.size);
    const wanted = onlyOnce(asked.length ? asked : words.filter(({ counted, means }) => !counted && means.size));
    /** Exercises that are not as asked come after all that may be. @param {number} id */
    const contrary = (id) => Number(contradicts(this.pieces[id].entry, numbers));
    const ranked = this.#matches(wanted, words, numbers)
      .map(([id, score]) => /** @type {[number, number]} */ ([id, score * this.#fit(this.pieces[id], numbers)]))
      .sort(([a, x], [b, y]) => contrary(a) - contrary(b) || y - x || a - b)
      .slice(0, CLOSELY)
      .map(([id, score]) => /** @type {[number, number]} */ ([id, score * this.#order(id, words)]))
      .sort(([a, x], [b, y]) => contrary(a) - contrary(b) || y - x || a - b);
    const terms = new Set(wanted.flatMap(({ means }) => [...means.keys()]));
    /** @type {Map<string, Found>} */
    const found = new Map();
    for (const [id, score] of ranked) {
      const { entry, heading, anchor } = this.pieces[id];
      if (!found.has(entry.url)) found.set(entry.url, { entry, heading, anchor, line: this.#line(id, wanted), score });
    }
    return { found: [...found.values()], terms, cut: query.cut };
  }

  /**
   * The line of a text with most of the words that nothing else shown of it has. Where all are shown
   * already, it is empty, or what stands first below the heading.
   * @param {number} id
   * @param {import("./search_query.js").Word[]} wanted
   */
  #line(id, wanted) {
    const { entry, heading, text } = this.pieces[id];
    const { title, plain = "", goals = [] } = entry;
    const shown = new Set(this.language.words([title, plain, heading, ...goals].join("\n")));
    const missing = wanted.filter(({ means }) => ![...means.keys()].some((term) => shown.has(term)));
    let best = { line: "", said: 0 };
    for (const line of missing.length ? [entry.summary ?? "", ...text.split("\n")] : []) {
      const here = new Set(this.language.words(line));
      const inIt = missing.filter(({ means }) => [...means.keys()].some((term) => here.has(term)));
      const said = inIt.reduce((sum, word) => sum + this.#weight(word), 0);
      if (said > best.said) best = { line, said };
    }
    return best.line || (heading ? text.split("\n")[0] : "");
  }

  /**
   * A text in pieces, each with whether it is one of the words looked for.
   * @param {string} text
   * @param {Set<string>} terms
   * @returns {[string, boolean][]}
   */
  split(text, terms) {
    return text
      .split(/([\p{L}\p{M}\p{N}'’]+)/u)
      .map((piece, at) => [piece, at % 2 === 1 && this.language.words(piece).some((word) => terms.has(word))]);
  }

  /** Words of the handbook that are most like those of a query. @param {string} text */
  nearest(text) {
    const typed = this.language.written(text.slice(0, MOST_LETTERS)).filter((word) => word.length > 2).slice(0, 3);
    return typed.flatMap((word) => {
      const most = Math.ceil(word.length / 2);
      const near = this.known.words
        .map(([known]) => /** @type {[string, number]} */ ([known, editDistance(word, known, most)]))
        .filter(([known, distance]) => distance < Infinity && known.length > 2);
      return near.sort(([a, x], [b, y]) => x - y || (a < b ? -1 : 1)).slice(0, 3).map(([known]) => known);
    });
  }

  /**
   * The pieces in which words were found, with their scores: more for rarer words and for more of them.
   * @param {import("./search_query.js").Word[]} wanted
   * @param {import("./search_query.js").Word[]} words
   * @param {import("./search_query.js").Numbers} numbers
   * @returns {[number, number][]}
   */
  #matches(wanted, words, numbers) {
    if (!wanted.length) {
      if (!Object.keys(numbers).length) return [];
      const fits = (/** @type {Piece} */ { entry }) => entry.kind === "exercise" && !contradicts(entry, numbers);
      return this.pieces.flatMap((piece, id) => (fits(piece) ? [[id, 1]] : []));
    }
    const weights = wanted.map((word) => this.#weight(word));
    const total = weights.reduce((sum, weight) => sum + weight, 0);
    /** @type {Map<number, {score: number, covered: number}>} */
    const scores = new Map();
    wanted.forEach((word, place) => {
      /** The best alternative counts for each piece. @type {Map<number, {score: number, closeness: number}>} */
      const best = new Map();
      for (const [term, closeness] of word.means) {
        for (const { id, score } of this.engine.search({ queries: [term], boost: BOOST, tokenize: (word) => [word] })) {
          const has = best.get(id);
          if (!has || has.score < score * closeness) best.set(id, { score: score * closeness, closeness });
        }
      }
      for (const [id, { score, closeness }] of best) {
        const sum = scores.get(id) ?? { score: 0, covered: 0 };
        sum.score += score;
        sum.covered += weights[place] * closeness;
        scores.set(id, sum);
      }
    });
    return [...scores].map(([id, { score, covered }]) => [id, score * (covered / total) * PRIOR[this.pieces[id].entry.kind]]);
  }

  /** How much a word says: more if it is rarer. @param {import("./search_query.js").Word} word */
  #weight({ means }) {
    const rarest = Math.min(...[...means.keys()].map((term) => this.counts.get(term) ?? 1));
    return Math.log(1 + this.pieces.length / rarest);
  }

  /**
   * How well an entry fits the numbers asked for, from 0 to 1, as far as it does not contradict them.
   * @param {Piece} piece
   * @param {import("./search_query.js").Numbers} numbers
   */
  #fit({ entry }, numbers) {
    let fit = 1;
    for (const [name, number] of Object.entries(numbers)) {
      if (name === "minutes" && entry.minutes) fit *= minutesFit(entry, number);
      else if (entry.kind !== "exercise") fit *= 0.6;
    }
    return fit;
  }

  /**
   * What a piece gains by having the words of the query in their order: as a whole name, or together.
   * @param {number} id
   * @param {import("./search_query.js").Word[]} words
   */
  #order(id, words) {
    const { leading, names, texts } = this.#linesOf(id);
    const spoken = words.filter(({ silent }) => !silent);
    const said = spoken.length ? spoken : words;
    const weights = said.map((word) => (word.means.size ? this.#weight(word) : 1));
    const total = weights.reduce((sum, weight) => sum + weight, 0);
    /** @type {(word: import("./search_query.js").Word, term: string) => boolean} */
    const means = (word, term) => word.means.has(term);
    const share = (/** @type {number} */ start, /** @type {number} */ length) =>
      weights.slice(start, start + length).reduce((sum, weight) => sum + weight, 0) / total;
    let whole = 0;
    for (const name of names) {
      for (let start = 0; name.length && start + name.length <= said.length; start += 1) {
        if (!name.every((term, offset) => means(said[start + offset], term))) continue;
        whole = Math.max(whole, share(start, name.length));
      }
    }
    let pairs = 0;
    for (let place = 0; place + 1 < said.length; place += 1) {
      const here = (/** @type {string[]} */ line) => inARow(line, said, place) > 1;
      if (names.some(here)) pairs += 1;
      else if (texts.some(here)) pairs += 0.6;
    }
    let quoted = 0;
    for (let start = 0; start + QUOTE <= said.length; start += 1) {
      const length = Math.max(...[...names, ...texts].map((line) => inARow(line, said, start)));
      if (length >= QUOTE) quoted = Math.max(quoted, share(start, length));
    }
    const asked = leading.some((name) => name.length === said.length && name.every((term, at) => means(said[at], term)));
    return (1 + WHOLE_NAME * whole + (asked ? LEADING : 0)) * (1 + TOGETHER * (pairs / Math.max(1, said.length - 1)) + QUOTED * quoted);
  }

  /** @typedef {{leading: string[][], names: string[][], texts: string[][]}} Lines */
  /** @param {number} id @returns {Lines} */
  #linesOf(id) {
    let known = this.lines.get(id);
    if (!known) {
      const piece = this.pieces[id];
      const { title, plain, names = [], words = [], about = [], summary = "" } = piece.entry;
      const { written, silent, stem } = this.language;
      const spoken = (/** @type {string} */ text) => written(text).filter((word) => !silent(word)).map(stem);
      const own = piece.first ? [title, plain ?? "", ...names, ...words] : [];
      known = {
        leading: piece.first ? [title, ...words].map(spoken) : [],
        names: [...own, piece.heading].filter(Boolean).map(spoken),
        texts: [...(piece.first ? [summary, ...about] : []), ...piece.text.split("\n")].filter(Boolean).map(spoken),
      };
      this.lines.set(id, known);
    }
    return known;
  }
}

/**
 * How many words of a query, from one of them on, stand side by side in a line.
 * @param {string[]} line
 * @param {import("./search_query.js").Word[]} said
 * @param {number} start
 */
function inARow(line, said, start) {
  let most = 0;
  for (let at = 0; at + most < line.length; at += 1) {
    let length = 0;
    while (said[start + length]?.means.has(line[at + length])) length += 1;
    most = Math.max(most, length);
  }
  return most;
}

/** Words that mean the same count once. @param {import("./search_query.js").Word[]} words */
function onlyOnce(words) {
  const seen = new Set();
  return words.filter(({ means }) => {
    const meaning = [...means.keys()].join(" ");
    return !seen.has(meaning) && seen.add(meaning);
  });
}

/** @param {Entry} entry @param {number} asked */
function minutesFit({ minutes = 0, known = minutes }, asked) {
  if (minutes === asked || known === asked) return 1;
  if (Math.abs(minutes - asked) <= asked / 5) return 0.9;
  if (minutes < asked) return 0.75;
  return known <= asked ? 0.5 : 0.3;
}

/**
 * Whether an exercise has another number than was asked for, or takes longer even once it is known.
 * @param {Entry} entry
 * @param {import("./search_query.js").Numbers} numbers
 */
function contradicts({ kind, voices, impact, level, minutes = 0, known = minutes }, numbers) {
  if (kind !== "exercise") return false;
  const is = { parts: voices, impact, level };
  if (numbers.minutes && known > numbers.minutes) return true;
  return /** @type {const} */ (["parts", "impact", "level"]).some((name) => numbers[name] !== undefined && numbers[name] !== is[name]);
}
