// @ts-check
/**
 * Says how different two words are: how many letters must be inserted, left out, changed, or swapped with
 * the next one to turn one word into the other, if no letter is changed twice. This is the optimal string
 * alignment distance, a restricted form of Damerau's (1964). The search uses it to find words that were
 * typed with a slip.
 */

/**
 * The distance between two words, or Infinity where it is more than `most`.
 * @param {string} a
 * @param {string} b
 * @param {number} most
 */
export function editDistance(a, b, most = Infinity) {
  if (Math.abs(a.length - b.length) > most) return Infinity;
  /** The last row but one, the last row, and the row that is being filled. */
  let before = new Array(b.length + 1).fill(0);
  let above = before.map((_, column) => column);
  for (let row = 1; row <= a.length; row += 1) {
    const here = [row];
    let least = row;
    for (let column = 1; column <= b.length; column += 1) {
      const same = a[row - 1] === b[column - 1];
      let cost = Math.min(above[column] + 1, here[column - 1] + 1, above[column - 1] + (same ? 0 : 1));
      const swapped = row > 1 && column > 1 && a[row - 1] === b[column - 2] && a[row - 2] === b[column - 1];
      if (swapped) cost = Math.min(cost, before[column - 2] + 1);
      here.push(cost);
      least = Math.min(least, cost);
    }
    if (least > most) return Infinity;
    [before, above] = [above, here];
  }
  return above[b.length] <= most ? above[b.length] : Infinity;
}
