// @ts-check
/**
 * The entries that the search can find: exercises and other pages, put together from search.json and
 * index.json (docs/data.md), and the texts of each in which words are looked for.
 */

/**
 * An exercise, put together from index.json and search.json, or a page of search.json (docs/data.md).
 * @typedef {object} Entry
 * @property {string} url below the site
 * @property {"exercise" | "list" | "goal" | "warm-up" | "routine" | "page"} kind
 * @property {string} title
 * @property {string} [plain]
 * @property {string[]} [names] other names
 * @property {string[]} [words] everyday words that lead to it
 * @property {string[]} [goals] as they are shown
 * @property {string[]} [about] how it is sung, and the like
 * @property {string} [summary]
 * @property {string} [text] a paragraph a line
 * @property {{heading?: string, anchor?: string, text: string}[]} [parts] of a page
 * @property {number} [impact]
 * @property {number} [level]
 * @property {number} [voices] how many parts sound at once
 * @property {number} [minutes]
 * @property {number} [known] minutes once it is known
 * @property {string} [times] both, as they are shown
 *
 * The unit that a search finds: a whole entry, or one part of a page that is divided by headings. `first`:
 * whether it is the whole or the first part of its entry.
 * @typedef {{entry: Entry, heading: string, anchor: string, text: string, first: boolean}} Piece
 */

/** The pieces of an entry: one for each part of a page, or one for the whole. @param {Entry} entry @returns {Piece[]} */
export function piecesOf(entry) {
  if (!entry.parts?.length) return [{ entry, heading: "", anchor: "", text: entry.text ?? "", first: true }];
  return entry.parts.map(({ heading = "", anchor = "", text }, place) => ({ entry, heading, anchor, text, first: !place }));
}

/** The texts of a piece in which words are looked for, by field; those about the whole entry belong to its first piece. @param {Piece} piece @returns {Record<string, string>} */
export function fieldsOf({ entry, heading, text, first }) {
  const { title, plain = "", names = [], words = [], goals = [], about = [], summary = "" } = entry;
  if (!first) return { title: "", names: heading, about: "", summary: "", text };
  return {
    title: `${title}\n${plain}`,
    names: [...names, ...words, heading].join("\n"),
    about: [...goals, ...about].join("\n"),
    summary,
    text,
  };
}

/** index.json has minutes in thousandths, as whole numbers. */
const SCALE = 1000;

/**
 * All that can be found: the exercises of both files, then the other pages.
 * @param {any} texts search.json
 * @param {any} index index.json
 * @returns {Entry[]}
 */
export function joinedEntries(texts, index) {
  const { words } = index;
  const exercises = index.exercises.map((/** @type {any} */ one) => {
    const more = texts.exercises[one.slug] ?? {};
    const said = ["sounding", "formation", "moment", "motion"].map((field) => [field, one[field]]);
    return {
      ...more,
      url: `exercises/${one.slug}/`,
      kind: "exercise",
      title: one.title,
      plain: one.plain,
      summary: one.summary,
      goals: one.goals?.map((/** @type {string} */ goal) => words.goals[goal] ?? goal),
      about: [...said.flatMap(([field, value]) => words[field][value] ?? []), ...(more.about ?? [])],
      impact: one.impact,
      level: one.level,
      voices: one.parts,
      minutes: one.minutes / SCALE,
      known: one.known / SCALE,
      times: one.times,
    };
  });
  return [...exercises, ...texts.pages];
}
