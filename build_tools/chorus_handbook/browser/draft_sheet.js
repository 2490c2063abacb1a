// @ts-check
/**
 * Makes the cue sheet of a draft, a printed page with a row for each item, by the rule of
 * `pages/cue_sheet.py`: each row has as much text as one sheet of paper has room for. It also shows the
 * first bars of each item on a staff or, where there is no room for that, as scale numbers.
 */

import { clockOf, presence } from "./attendance.js";
import { MINUTE, sum, timeOfDay } from "./clock.js";
import { cutSteps, cutText } from "./cut_text.js";
import { longDate } from "./draft_day.js";
import { filledIn, plannedKeys } from "./draft_parts.js";
import { listed } from "./finding_sentences.js";
import { Tonight } from "./tonight.js";
import { lateOnPaper } from "./tonight_words.js";
import { RULES } from "./warm_up_rules.js";
import { gettext, inside, joined, withSigns } from "./words.js";

/** @import { Taken } from "./draft_items.js" */
/** @import { PartItem } from "./draft_parts.js" */
/** @import { Plan, Planning } from "./planning.js" */

const { height: HEIGHT, line: LINE, title_line: TITLE_LINE, staff: STAFF, row: ROW, frame: FRAME, wide: WIDE, title: TITLE, left: LEFT, right: RIGHT, staves: MOST_STAVES, lengths: LENGTHS } = RULES.sheet;

/** The sentence below the table says what to leave out if the warm-up starts this many minutes late. */
const LATE = 5;

/**
 * What a row of the sheet shows. `stave`: a drawing of the first bars, as HTML; `numbers`: scale numbers in
 * its place; both may be "". `asItem`: the number of an earlier item with the same exercise; 0 if there is
 * none.
 * @typedef {{one: PartItem, values: Record<string, string>, stave: string, numbers: string, care: string, asItem: number}} SheetRow
 */

/**
 * Fills in the sheet.
 * @param {HTMLElement} sheet the page's template, without rows
 * @param {Plan} plan
 * @param {Taken[]} taken
 * @param {number} joins the number of the item after which late singers join in, or 0
 * @param {Planning} planning
 */
export function fillSheet(sheet, plan, taken, joins, planning) {
  const foot = sheet.querySelector(".hb-sheet-foot");
  const head = sheet.querySelector(".hb-sheet-head");
  if (!foot || !head) throw new Error("the template has no head or foot");
  head.textContent = headOf(plan, planning);
  const late = plan.minutes > LATE ? lateOnPaper(new Tonight({ ...plan, items: taken.map(({ one }) => one.item) }, planning), LATE) : "";
  const more = [late, joins ? gettext("Those who are late come in after item {n}.", { n: joins }) : ""].filter(Boolean);
  foot.prepend(...more.flatMap((textContent) => [Object.assign(document.createElement("span"), { textContent }), " "]));
  const frame = FRAME + LINE * lines([head.textContent, foot.textContent?.trim() ?? ""], WIDE);
  let rows = taken.map((one) => sheetRow(one, taken, taken.length <= MOST_STAVES));
  if (sum(rows.map((row) => heightOf(row, LENGTHS[0]))) + frame > HEIGHT) {
    rows = taken.map((one) => sheetRow(one, taken, false));
  }
  const chosen = lengthsThatFit(rows, HEIGHT - frame);
  if (chosen.every((length) => length === LENGTHS[LENGTHS.length - 1])) foot.lastElementChild?.remove();
  sheet.querySelector("tbody")?.replaceChildren(...rows.map((row, place) => elementOf(row, chosen[place])));
  sheet.prepend(spriteOf(rows));
}

/** The line at the head: when and where the warm-up is, with whom, and what it leads into. @param {Plan} plan @param {Planning} planning */
function headOf(plan, planning) {
  const { date, starts, minutes, leader, pianist, room } = plan;
  const ends = timeOfDay(clockOf(starts), Math.round(minutes * MINUTE));
  const when = gettext("{date}, {begins} to {ends}", { date: longDate(date), begins: starts, ends });
  const people = [leader ? gettext("led by {name}", { name: leader }) : "", pianist ? gettext("at the piano: {name}", { name: pianist }) : "", room];
  return [when, ...people, ...presence(plan, planning), leadsInto(plan, planning)].filter(Boolean).join(" · ");
}

/** The piece that follows, with its first chord, and the goals that it asks for; empty if none of them is named. @param {Plan} plan @param {Planning} planning */
function leadsInto({ leads_into: { piece, first_chord = {}, goals = [] } = {} }, planning) {
  const notes = joined(Object.values(first_chord).reverse().map(withSigns));
  const named = goals.filter((goal) => Object.hasOwn(planning.goals, goal)).map((goal) => inside(planning.goals[goal]));
  const asks = named.length ? gettext("asks for {goals}", { goals: listed(named) }) : "";
  let follows = "";
  if (piece && notes) follows = gettext("Leads into {piece}: {notes}", { piece, notes });
  else if (piece) follows = gettext("Leads into {piece}", { piece });
  else if (notes) follows = gettext("Ends on the chord {notes}", { notes });
  else return asks && gettext("What follows {asks}", { asks });
  return asks ? gettext("{follows}; {asks}", { follows, asks }) : follows;
}

/** What the sheet shows of an item, with a staff or with scale numbers instead. @param {Taken} taken @param {Taken[]} all @param {boolean} staves @returns {SheetRow} */
function sheetRow({ one, values }, all, staves) {
  const first = all.find((other) => other.one.planned.slug === one.planned.slug)?.one.number ?? one.number;
  const asItem = first < one.number ? first : 0;
  const key = plannedKeys(one)[0]?.tonic ?? "";
  const drawn = staves && !asItem ? (one.parts.staves?.[key] ?? "") : "";
  const template = filledIn(one.parts.sheet, values);
  const text = (/** @type {string} */ selector) => template.querySelector(selector)?.textContent?.trim() ?? "";
  return { one, values, stave: drawn, numbers: staves || asItem ? "" : text(".hb-sheet-numbers"), care: text(".hb-sheet-care"), asItem };
}

/** What to say, with about so many words. @param {SheetRow} row @param {number} most */
function sayOf({ one, asItem }, most) {
  return asItem ? gettext("As item {n}.", { n: asItem }) : cutText(one.parts.say, most);
}

/** The steps, with about so many words each. @param {SheetRow} row @param {number} most */
function stepsOf({ one, asItem }, most) {
  return asItem || !most ? [] : cutSteps(one.parts.steps, most);
}

/** The last line of a row: tempo and first syllables, who leads the item, its variation and note; no syllables if the exercise was on the sheet before. @param {SheetRow} row */
function alsoOf({ one, values, asItem }) {
  const about = asItem ? [one.parts.tempo ?? ""] : one.parts.also;
  return [...about, values.led, values.variation, values.note].filter(Boolean).join(" · ");
}

/** The estimated height of a row in millimetres. @param {SheetRow} row @param {number[]} length one of `LENGTHS` */
function heightOf(row, [most, step]) {
  const { one, values, stave, numbers, care } = row;
  const cue = one.parts.cue ? gettext("cue word: {cue}", { cue: one.parts.cue }) : "";
  const title = [values.number, one.numbers.title, values.short_keys].filter(Boolean).join(" ");
  const left = TITLE_LINE * lines([title], TITLE) + LINE * lines([values.presence, values.voices, numbers], LEFT);
  const begins = [values.moves, care, sayOf(row, most)].filter(Boolean).join(" ");
  const run = stepsOf(row, step).map((text, place) => `${place + 1} ${text}`);
  const ends = [cue, alsoOf(row)].filter(Boolean).join(" · ");
  const right = LINE * lines([begins, [...run, ends].join(" ")], RIGHT);
  return Math.max(left + (stave ? STAFF : 0), right) + ROW;
}

/**
 * For each row the length of its texts, one of `LENGTHS`, so that all rows together fit into `room`
 * millimetres. All rows begin with the shortest. Then each longer length is tried: a row gets it if there
 * is room, or if it grows no higher by it; rows that would grow least come first.
 * @param {SheetRow[]} rows
 * @param {number} room
 */
function lengthsThatFit(rows, room) {
  const chosen = rows.map(() => LENGTHS[0]);
  const heights = rows.map((row) => heightOf(row, LENGTHS[0]));
  for (const length of LENGTHS.slice(1)) {
    const longer = rows.map((row) => heightOf(row, length));
    const growth = longer.map((height, place) => height - heights[place]);
    for (const place of [...rows.keys()].sort((one, other) => growth[one] - growth[other])) {
      if (growth[place] > 0 && sum(heights) + growth[place] > room) continue;
      [chosen[place], heights[place]] = [length, longer[place]];
    }
  }
  return chosen;
}

/**
 * How many lines texts take together if so many characters fit on a line; each text begins a new line,
 * and a word that is longer than a line fills what is left of it.
 * @param {string[]} texts
 * @param {number} characters
 */
export function lines(texts, characters) {
  let count = 0;
  for (const text of texts) {
    let filled = characters; // characters on the current line; at first there is no line
    let begun = false;
    for (const word of text.split(/[\t\n\v\f\r ]+/).filter(Boolean)) {
      let rest = [...word].length;
      const gap = begun ? 1 : 0;
      if (begun && filled + gap + rest <= characters) {
        filled += gap + rest;
        continue;
      }
      if (begun && rest > characters) rest -= Math.max(0, characters - filled - gap);
      count += Math.ceil(rest / characters);
      filled = rest % characters || characters;
      begun = true;
    }
  }
  return count;
}

/** The row as an element. @param {SheetRow} row @param {number[]} length */
function elementOf(row, [most, step]) {
  const { one, values, stave, numbers } = row;
  const made = filledIn(one.parts.sheet, { ...values, also: alsoOf(row) });
  const say = made.querySelector("em");
  if (say) say.textContent = sayOf(row, most);
  const steps = stepsOf(row, step).flatMap((text, place) => [Object.assign(document.createElement("b"), { textContent: String(place + 1) }), ` ${text} `]);
  made.querySelector(".hb-sheet-steps")?.replaceChildren(...steps);
  if (!numbers) made.querySelector(".hb-sheet-numbers")?.remove();
  if (stave) {
    const voices = made.querySelector(".hb-sheet-voices");
    voices?.querySelector("br")?.remove();
    const place = Object.assign(document.createElement("div"), { className: "hb-sheet-stave", innerHTML: stave });
    if (voices) voices.before(place);
    else made.children[1].append(place);
  }
  return made;
}

/** An element without size that contains the glyphs which the drawings refer to. @param {SheetRow[]} rows */
function spriteOf(rows) {
  const symbols = Object.assign({}, ...rows.filter(({ stave }) => stave).map(({ one }) => one.parts.symbols));
  const sprite = document.createElement("template");
  sprite.innerHTML = `<svg width="0" height="0" style="position:absolute" aria-hidden="true"><defs>${Object.values(symbols).join("")}</defs></svg>`;
  return sprite.content;
}
