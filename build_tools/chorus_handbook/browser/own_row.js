// @ts-check
/**
 * The row "You" in the charts of a ladder, with the shapes and words of the other rows
 * (`pages/ladder.py`), and the sentence on where you step out.
 */

import { computeSteps, stepsOut } from "./ladder.js";
import { FACTS } from "./shared_facts.js";

/** @import { Ladder, Step } from "./ladder.js" */
/** @import { Singer, Voice } from "./own_compass.js" */

/** @type {Record<number, string>} */
const OCTAVES = FACTS.ladder.octaves;

/**
 * Puts the row and the sentence in, or takes them out again when there is no singer.
 * @param {Element} place what holds the charts and their sentences
 * @param {Ladder} ladder
 * @param {Singer | null} singer
 * @param {Record<string, Voice>} voices
 */
export function drawRow(place, ladder, singer, voices) {
  for (const old of place.querySelectorAll(".hb-you, .hb-you-says")) old.remove();
  if (!singer) return;
  const label = voices[singer.voice].label.toLowerCase();
  const steps = computeSteps(ladder, singer.voice, singer.compass);
  const charts = [...place.querySelectorAll("table.hb-ladder-chart")];
  const says = document.createElement("p");
  says.className = "hb-you-says";
  says.textContent =
    (singer.nearest ? `The voice nearest to your range is ${label}. ` : "") +
    sentence(label, ladder, steps);
  charts[0]?.before(says);
  let from = 0;
  for (const chart of steps ? charts : []) {
    const columns = [...chart.querySelectorAll("thead th[data-column]")];
    chart.querySelector("tbody")?.append(row(label, columns, (steps ?? []).slice(from)));
    from += columns.length;
  }
}

/**
 * @param {string} label
 * @param {Element[]} columns the heads of the chart's columns
 * @param {Step[]} steps from the first column on
 */
function row(label, columns, steps) {
  const line = document.createElement("tr");
  line.className = "hb-you";
  const head = document.createElement("th");
  head.scope = "row";
  const as = document.createElement("span");
  as.className = "hb-you-as";
  as.textContent = `as ${label}`;
  head.append("You ", as);
  line.append(head, ...columns.map((column, place) => cell(column, steps[place])));
  return line;
}

/**
 * @param {Element} column
 * @param {Step} step
 */
function cell(column, step) {
  const { signs, words } = FACTS.ladder;
  let shape = signs[step.state];
  let word = /** @type {Record<string, string>} */ (words[step.state])[step.end];
  if (step.octaves) [shape, word] = [signs.octave, `${OCTAVES[step.octaves]} from here`];
  else if (step.state === "edge" && !step.holds) word += ", touched";
  const made = document.createElement("td");
  made.className = `hb-${step.state}`;
  made.dataset.column = column.getAttribute("data-column") ?? "";
  if (column.classList.contains("hb-current")) made.classList.add("hb-current");
  const sign = document.createElement("span");
  sign.ariaHidden = "true";
  sign.textContent = shape;
  const unseen = document.createElement("span");
  unseen.className = "hb-unseen";
  unseen.textContent = word;
  made.append(sign, unseen);
  return made;
}

/**
 * Where you step out, or how you fare when you need not.
 * @param {string} label
 * @param {Ladder} ladder
 * @param {Step[] | null} steps
 */
function sentence(label, ladder, steps) {
  const you = `As ${label} you`;
  if (!steps) return `${you} do not sing in this exercise.`;
  const place = stepsOut(steps);
  if (place === 0) return `${you} step out from the start.`;
  if (place > 0) return `${you} step out after the key of ${keyName(ladder.keys[place - 1])}.`;
  const every = steps.length > 1 ? "every key" : "the one key";
  if (steps.every((step) => step.state === "comfortable")) return `${you} are comfortable in ${every}.`;
  const turn = steps.findIndex((step) => step.octaves !== 0);
  if (turn >= 0) {
    const octave = OCTAVES[steps[turn].octaves];
    return `${you} can sing ${every}, ${octave} from ${keyName(ladder.keys[turn])} on.`;
  }
  return `${you} can sing ${every}, near the end of your range where there is a ring.`;
}

/**
 * A key's name with proper signs: "Bb3" is "B♭3".
 * @param {string} key
 */
export function keyName(key) {
  return key[0] + key.slice(1).replaceAll("#", "♯").replaceAll("b", "♭");
}
