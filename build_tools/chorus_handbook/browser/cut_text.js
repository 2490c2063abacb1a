// @ts-check
/** Shortens a text at the end of a clause, as the cue sheet of a warm-up does (`in_short` in `pages/order_rows.py`). */

/** What is left out is shown by this sign. */
const CUT = " …";
/** A clause of fewer words is not understood alone. */
const LEAST_WORDS = 3;

/**
 * As many whole clauses as have at most so many words together; if the first is longer, that one.
 * @param {string} text
 * @param {number} most
 */
export function cutText(text, most) {
  const words = text.split(/\s+/).filter(Boolean);
  if (words.length <= most) return text;
  const ends = words.flatMap((word, place) => (place + 1 >= LEAST_WORDS && /[,;:.!?]$/.test(word) ? [place + 1] : []));
  const fitting = ends.filter((end) => end <= most);
  const end = fitting.at(-1) ?? ends[0] ?? words.length;
  return end === words.length ? text : words.slice(0, end).join(" ").replace(/[,;:.]+$/, "") + CUT;
}
