// @ts-check
/**
 * Takes the SVG paths of a score apart into single shapes, and moves them. To save space,
 * `engraving/ink.py` puts many unrelated shapes into one path: staff lines, bar lines, beams, slurs. When
 * room is made for a row of texts (`opened_drawing.js`), each of them has to be moved by itself. Only the
 * path commands that `ink.py` and the engraver write are known: M, L, C, z and the relative h, v and a.
 */

/** Left, top, right and bottom edge, in units of the drawing. @typedef {[number, number, number, number]} Box */

/** A shape: its commands with their numbers, and the box that it fits into. @typedef {{commands: [string, number[]][], box: Box}} Shape */

const COMMAND = /([MLChvaz])([^MLChvaz]*)/g;
const NUMBER = /-?(?:\d+\.?\d*|\.\d+)/g;
/** How many numbers belong to one arc (command a). */
const ARC = 7;

/**
 * The shapes of a path. Throws an error if the path does not begin with M.
 * @param {string} drawn the attribute `d` of the path
 * @returns {Shape[]}
 */
export function shapes(drawn) {
  /** @type {Shape[]} */
  const found = [];
  let [x, y] = [0, 0];
  for (const [, name, text] of drawn.matchAll(COMMAND)) {
    const numbers = (text.match(NUMBER) ?? []).map(Number);
    if (name === "M") found.push({ commands: [], box: [Infinity, Infinity, -Infinity, -Infinity] });
    const shape = found.at(-1);
    if (!shape) throw new Error(`a path begins with ${name}`);
    shape.commands.push([name, numbers]);
    if (name === "h") x += numbers[0];
    else if (name === "v") y += numbers[0];
    else if (name === "a") {
      for (let place = 0; place < numbers.length; place += ARC) {
        const [across, down] = numbers.slice(place);
        const [dx, dy] = numbers.slice(place + ARC - 2); // where the arc ends, from its beginning
        cover(shape.box, x, y - down); // half an ellipse, which begins at its left or right end
        cover(shape.box, x + Math.sign(dx) * 2 * across, y + down);
        x += dx;
        y += dy;
      }
    } else if (name !== "z") {
      for (let place = 0; place < numbers.length; place += 2) {
        [x, y] = [numbers[place], numbers[place + 1]];
        cover(shape.box, x, y); // a curve lies within its control points
      }
    }
    cover(shape.box, x, y);
  }
  return found;
}

/**
 * Extends the box so that it contains the point.
 * @param {Box} box
 * @param {number} x
 * @param {number} y
 */
function cover(box, x, y) {
  box[0] = Math.min(box[0], x);
  box[1] = Math.min(box[1], y);
  box[2] = Math.max(box[2], x);
  box[3] = Math.max(box[3], y);
}

/**
 * The attribute `d` of a path with these shapes after they have been moved vertically.
 * @param {Shape[]} all
 * @param {(shape: Shape) => (y: number) => number} mover returns for a shape the function from an old y to its new y
 */
export function moved(all, mover) {
  return all.map((shape) => movedShape(shape, mover(shape))).join("");
}

/**
 * One shape as part of the attribute `d`, with every y moved.
 * @param {Shape} shape
 * @param {(y: number) => number} to gives the new y for an old one
 */
function movedShape({ commands }, to) {
  let y = 0;
  let drawn = "";
  for (const [name, numbers] of commands) {
    let there = numbers;
    if (name === "v") {
      there = [to(y + numbers[0]) - to(y)];
      y += numbers[0];
    } else if (name === "a") {
      for (let place = ARC - 1; place < numbers.length; place += ARC) y += numbers[place];
    } else if (name !== "h" && name !== "z") {
      there = numbers.map((number, place) => (place % 2 ? to(number) : number));
      y = numbers[numbers.length - 1];
    }
    drawn += name + there.map((number) => Math.round(number * 10) / 10).join(" ");
  }
  return drawn;
}
