// @ts-check
/**
 * The row "You" in the chart of a ladder, with the same shapes and words as the other rows
 * (`pages/ladder.py`), and the sentence that says after which key you step out.
 */

import { computeSteps, otherOctave, state, stepsOut } from "./ladder.js";
import { FACTS } from "./shared_facts.js";
import { gettext, inside, keyName } from "./words.js";

/** @import { Ladder, Step } from "./ladder.js" */
/** @import { Singer, Voice } from "./own_range_compass.js" */

/**
 * Inserts the row and the sentence, or removes them if there is no singer. The sentence is also placed
 * below the score, where it is seen while the chart is folded.
 * @param {Element} place the element that contains the charts and their sentences
 * @param {Ladder} ladder
 * @param {Singer | null} singer
 * @param {Record<string, Voice>} voices
 */
export function showOwnRow(place, ladder, singer, voices) {
  const exercise = place.closest(".hb-exercise");
  for (const old of exercise?.querySelectorAll(".hb-you, .hb-you-text, .hb-you-way") ?? []) old.remove();
  if (!singer) return;
  const label = inside(voices[singer.voice].label);
  const steps = computeSteps(ladder, singer.voice, singer.compass);
  const charts = [...place.querySelectorAll("table.hb-ladder-chart")];
  const text = document.createElement("p");
  text.className = "hb-you-text";
  const nearest = singer.nearest ? [gettext("The voice nearest to your range is {voice}.", { voice: label })] : [];
  const cannotBegin = steps && stepsOut(steps) === 0;
  const advice = cannotBegin ? adviceFor(ladder, singer, voices) : [];
  text.textContent = [...nearest, sentence(label, ladder, steps), ...advice].join(" ");
  charts[0]?.before(text);
  const open = document.createElement("p");
  open.className = "hb-you-way";
  open.textContent = text.textContent;
  exercise?.querySelector(".hb-way")?.after(open);
  let from = 0;
  for (const chart of steps ? charts : []) {
    const columns = [...chart.querySelectorAll("thead th[data-column]")];
    chart.querySelector("tbody")?.append(row(label, columns, (steps ?? []).slice(from)));
    from += columns.length;
  }
}

/**
 * The row of a chart.
 * @param {string} label of the singer's voice
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
  // Translators: you as a soprano; it stands below "You".
  as.textContent = gettext("as {voice}", { voice: label });
  head.append(gettext("You"), " ", as);
  line.append(head, ...columns.map((column, place) => cell(column, steps[place])));
  return line;
}

/**
 * The cell for one key: a sign, and its meaning for screen readers.
 * @param {Element} column the head of its column
 * @param {Step} step
 */
function cell(column, step) {
  const { signs, words } = FACTS.ladder;
  const kind = step.octaves ? "octave" : step.state;
  const touched = kind === "edge" && !step.sustainsOutside;
  /** @type {Record<string, string>} */
  const meanings = words[touched ? "touched" : kind];
  const made = document.createElement("td");
  made.className = `hb-${step.state}`;
  made.dataset.column = column.getAttribute("data-column") ?? "";
  if (column.classList.contains("hb-current")) made.classList.add("hb-current");
  const sign = document.createElement("span");
  sign.ariaHidden = "true";
  sign.textContent = signs[kind];
  const unseen = document.createElement("span");
  unseen.className = "hb-unseen";
  unseen.textContent = gettext(meanings[step.octaves || step.end]);
  made.append(sign, unseen);
  return made;
}

/**
 * The sentence that says after which key you step out, or how well the keys fit if you need not.
 * @param {string} voice as it is written within a sentence
 * @param {Ladder} ladder
 * @param {Step[] | null} steps
 */
function sentence(voice, ladder, steps) {
  if (!steps) return gettext("As {voice} you do not sing in this exercise.", { voice });
  const place = stepsOut(steps);
  if (place === 0) return gettext("As {voice} you step out from the start.", { voice });
  if (place > 0) {
    const key = keyName(ladder.keys[place - 1]);
    return gettext("As {voice} you step out after the key of {key}.", { voice, key });
  }
  const several = steps.length > 1;
  if (steps.every((step) => step.state === "comfortable")) {
    return several
      ? gettext("As {voice} you are well in range in every key.", { voice })
      : gettext("As {voice} you are well in range in the only key.", { voice });
  }
  const changes = steps.findIndex((step) => step.octaves !== 0);
  if (changes >= 0) {
    const key = keyName(ladder.keys[changes]);
    const lower = steps[changes].octaves < 0;
    if (!several) {
      return lower
        ? gettext("As {voice} you can sing the only key, an octave lower.", { voice })
        : gettext("As {voice} you can sing the only key, an octave higher.", { voice });
    }
    return lower
      ? gettext("As {voice} you can sing every key, an octave lower from {key} on.", { voice, key })
      : gettext("As {voice} you can sing every key, an octave higher from {key} on.", { voice, key });
  }
  return several
    ? gettext("As {voice} you can sing every key, near the end of your range where there is a ring.", { voice })
    : gettext("As {voice} you can sing the only key, near the end of your range.", { voice });
}

/**
 * Advice for a singer who cannot begin in the first key: another part, another octave, a later key.
 * @param {Ladder} ladder
 * @param {Singer} singer
 * @param {Record<string, Voice>} voices
 * @returns {string[]} sentences
 */
export function adviceFor(ladder, { voice, compass }, voices) {
  const found = [];
  const others = Object.keys(ladder.voices).filter((name) => name !== voice);
  /** @type {(name: string) => string} */
  const stateIn = (name) => state(ladder.voices[name], compass);
  const part = others.find((name) => stateIn(name) === "comfortable") ?? others.find((name) => stateIn(name) === "edge");
  if (part) found.push(gettext("The part of the {voice} fits your range there.", { voice: inside(voices[part].label) }));
  const octaves = otherOctave(ladder.voices[voice], compass);
  if (octaves < 0) found.push(gettext("You could sing it an octave lower."));
  if (octaves > 0) found.push(gettext("You could sing it an octave higher."));
  const later = (computeSteps(ladder, voice, compass) ?? []).findIndex((step) => step.state !== "out");
  if (later > 0) found.push(gettext("You can join in from the key of {key} on.", { key: keyName(ladder.keys[later]) }));
  return found;
}
