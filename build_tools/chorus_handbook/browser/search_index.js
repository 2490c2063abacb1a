// @ts-check
/**
 * Finds exercises and pages by words, and ranks them. `search_query.js` works out what the query means;
 * a vendored library (MiniSearch) looks its words up; this module then weighs where they stand, whether
 * they stand together, and whether the numbers fit. It uses neither the page nor the network, so tests
 * can run it by itself; `search_box.js` loads what it searches.
 */

import { editDistance } from "./edit_distance.js";
import { fieldsOf, piecesOf } from "./search_entries.js";
import { contradicts, fitTo, isAsLong } from "./search_numbers.js";
import { MOST_LETTERS, understand } from "./search_query.js";
import { synonymsBy } from "./search_synonyms.js";
import { languageOf, lackOf } from "./search_words.js";
import MiniSearch from "./vendored/minisearch.js";

/**
 * @typedef {import("./search_entries.js").Entry} Entry
 * @typedef {import("./search_entries.js").Piece} Piece
 *
 * What is searched. `labels`: what readers see of the values of each field, as in index.json.
 * @typedef {{language: string, pages: Entry[], labels: Record<string, Record<string, string>>}} Data
 *
 * A result.
 * @typedef {object} Found
 * @property {Entry} entry
 * @property {string} heading the heading in the page under which it was found
 * @property {string} anchor
 * @property {string} line the line of text that matches best, where nothing else shows why it was found
 * @property {number} score
 */

const FIELDS = ["title", "names", "about", "summary", "text"];
/** How much a match counts by the field in which it is (our choice): most in names, then in goals and the summary, least in the text. */
const BOOST = { title: 5, names: 5, about: 3, summary: 2.5, text: 1 };
/** How much a match counts by the kind of page (our choice). A warm-up only names exercises, so it comes after the exercises themselves. */
const PRIOR = { exercise: 1, list: 1, goal: 1, routine: 1, page: 0.9, "warm-up": 0.6 };
/** How many of the best results are ranked again by the order of their words, and returned. */
const CLOSELY = 60;
/** How much a faint word such as "out" counts beside the others (our choice). */
const FAINT = 0.2;
/** How many letters a word needs so that others are like it: of four, any word is like some other. */
const SHORTEST_LIKE = 5;
/** How many pieces are indexed before the browser may do something else for a moment. */
const AT_ONCE = 100;
/**
 * How many times itself is added to a score (our choice): if a name of the entry is in the query as a
 * whole; if the query is just its title, or an everyday word that leads to it; if all neighbouring words
 * of the query stand together in it.
 */
const WHOLE_NAME = 1.5;
const LEADING = 4;
const TOGETHER = 0.8;
/** The same if the query quotes a line of the entry: `QUOTE` words or more stand in a row in both. The more of the query they make up, the more is added. */
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
    /** The words of each piece line by line, computed when first needed. @type {Map<number, Lines>} */
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

  /** Makes an index. The browser may do other things in between, since a large handbook takes a while. @param {Data} data */
  static async of(data) {
    const index = new SearchIndex(data);
    for (let id = 0; id < index.pieces.length; id += 1) {
      index.#add(id);
      if (id % AT_ONCE === AT_ONCE - 1) await new Promise((done) => setTimeout(done));
    }
    index.known.words = [...index.stems].sort(([a], [b]) => (a < b ? -1 : 1));
    return index;
  }

  /** Adds a piece to the index. @param {number} id its place among all pieces */
  #add(id) {
    /** @type {Record<string, any>} */
    const piece = { id };
    const all = new Set();
    for (const [field, text] of Object.entries(fieldsOf(this.pieces[id]))) {
      const words = this.language.written(text);
      const stems = words.map((word) => {
        const stem = this.language.stem(word);
        this.stems.set(word, stem);
        all.add(stem);
        return stem;
      });
      piece[field] = stems;
      if (field === "text") continue;
      for (let at = 1; at < stems.length; at += 1) this.pairs.add(`${stems[at - 1]} ${stems[at]}`);
      if (field !== "title" && field !== "names") continue;
      // a page called "no piano" is none for who looks for a piano
      piece[field] = text.split("\n").flatMap((line) => {
        const said = this.language.written(line);
        return this.language.taken(said).map((taken, at) => {
          const stem = this.language.stem(said[at]);
          return taken ? lackOf(stem) : stem;
        });
      });
      for (const term of piece[field]) all.add(term);
    }
    for (const stem of all) this.counts.set(stem, (this.counts.get(stem) ?? 0) + 1);
    this.engine.add(piece);
  }

  /**
   * Searches for what a reader has typed. The best results come first, and each page only once.
   * @param {string} text
   * @returns {{found: Found[], count: number, terms: Set<string>, cut: boolean}} `found`: the best pages;
   *   `count`: how many have any of the words; `terms`: the stems of the words that were looked for; `cut`: whether the text was so long that its end was left out
   */
  search(text) {
    const query = understand(text, this.language, this.known);
    const { words, numbers } = query;
    const asked = words.filter(({ silent, counted, means }) => !silent && !counted && means.size);
    const unwanted = words.some((word) => word.unwanted);
    const wanted = onlyOnce(asked.length || unwanted ? asked : words.filter(({ counted, means }) => !counted && means.size));
    const matches = this.#matches(wanted, words, numbers);
    const count = new Set(matches.map(([id]) => this.pieces[id].entry.url)).size;
    const best = matches
      .map(([id, score]) => {
        const piece = this.pieces[id];
        return { id, score: score * fitTo(piece.entry, numbers), contrary: Number(contradicts(piece.entry, numbers)) };
      })
      .sort(byRank)
      .slice(0, CLOSELY);
    for (const one of best) one.score *= this.#order(one.id, words);
    const telling = wanted.filter(({ faint }) => !faint);
    const told = telling.length ? telling : wanted;
    const terms = new Set(told.flatMap(({ means }) => [...means.keys()]));
    /** @type {Map<string, Found>} */
    const found = new Map();
    for (const { id, score } of best.sort(byRank)) {
      const { entry, heading, anchor } = this.pieces[id];
      const lineOf = () => this.#line(id, told); // only some of what is found is shown
      if (!found.has(entry.url)) found.set(entry.url, { entry, heading, anchor, score, get line() { return lineOf(); } });
    }
    return { found: [...found.values()], count, terms, cut: query.cut };
  }

  /**
   * The line to show of a piece: the one that has most of those words that neither its title, plain name,
   * heading nor goals have, so that a reader sees why it was found. If these have all the words, the
   * first line below the heading; "" without a heading.
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

  /** A text split into words and what is between them, each with whether it is one of the words looked for. @param {string} text @param {Set<string>} terms @returns {[string, boolean][]} */
  split(text, terms) {
    return text
      .split(/([\p{L}\p{M}\p{N}'’]+)/u)
      .map((piece, at) => [piece, at % 2 === 1 && this.language.words(piece).some((word) => terms.has(word))]);
  }

  /** Words of the handbook that are most like those of a query by which nothing was found, to offer instead. @param {string} text */
  nearest(text) {
    const typed = this.language.written(text.slice(0, MOST_LETTERS)).filter((word) => word.length >= SHORTEST_LIKE && !this.stems.has(word)).slice(0, 3);
    return typed.flatMap((word) => {
      const most = word.length < 9 ? 1 : Math.floor((word.length - 1) / 3);
      const near = this.known.words
        .map(([known]) => /** @type {[string, number]} */ ([known, editDistance(word, known, most)]))
        .filter(([, distance]) => distance < Infinity);
      return near.sort(([a, x], [b, y]) => x - y || (a < b ? -1 : 1)).slice(0, 3).map(([known]) => known);
    });
  }

  /**
   * The ids of the pieces in which words were found, with their scores: higher for rarer words and for
   * more of them. If the query has only numbers, all exercises that fit them, and whole warm-ups of that length.
   * @param {import("./search_query.js").Word[]} wanted the words to look for
   * @param {import("./search_query.js").Word[]} words all words of the query
   * @param {import("./search_query.js").Numbers} numbers
   * @returns {[number, number][]}
   */
  #matches(wanted, words, numbers) {
    if (!wanted.length) {
      if (!Object.keys(numbers).length) return [];
      const fits = (/** @type {Piece} */ { entry, first }) =>
        entry.kind === "exercise" ? !contradicts(entry, numbers) : first && isAsLong(entry, numbers);
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
        sum.score += word.faint ? score * FAINT : score;
        sum.covered += weights[place] * closeness;
        scores.set(id, sum);
      }
    });
    return [...scores].map(([id, { score, covered }]) => [id, score * (covered / total) * PRIOR[this.pieces[id].entry.kind]]);
  }

  /** How much a word counts: more if it is rarer in the handbook. @param {import("./search_query.js").Word} word */
  #weight({ means, faint }) {
    const rarest = Math.min(...[...means.keys()].map((term) => this.counts.get(term) ?? 1));
    return Math.log(1 + this.pieces.length / rarest) * (faint ? FAINT : 1);
  }

  /**
   * The factor, 1 or more, by which a piece's score rises because it has words of the query in the same
   * order: as a whole name, or side by side.
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

  /** The stems of a piece's words, line by line: of the title and everyday words, of all its names, and of its other texts. @typedef {{leading: string[][], names: string[][], texts: string[][]}} Lines */
  /** The lines of a piece. @param {number} id @returns {Lines} */
  #linesOf(id) {
    let known = this.lines.get(id);
    if (!known) {
      const piece = this.pieces[id];
      const { title, plain, names = [], words = [], about = [], summary = "" } = piece.entry;
      const spoken = this.language.terms;
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
 * How many words of a query, from the one at `start` on, stand side by side in a line.
 * @param {string[]} line the stems of its words
 * @param {import("./search_query.js").Word[]} said the words of the query
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

/**
 * Sorts results: by score, but exercises that contradict a number in the query (`contrary` is 1) last.
 * @typedef {{id: number, score: number, contrary: number}} Ranked
 * @param {Ranked} a @param {Ranked} b
 */
function byRank(a, b) {
  return a.contrary - b.contrary || b.score - a.score || a.id - b.id;
}

/** Words without those that mean the same as an earlier one. @param {import("./search_query.js").Word[]} words */
function onlyOnce(words) {
  const seen = new Set();
  return words.filter(({ means }) => {
    const meaning = [...means.keys()].join(" ");
    return !seen.has(meaning) && seen.add(meaning);
  });
}
