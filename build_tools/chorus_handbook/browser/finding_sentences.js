// @ts-check
/**
 * Says what the checks of warm-ups find (`warm_up_checks.js`), in the language of the handbook. The
 * sentences are those of `warm_up_rules.js`, which `warmups/findings.py` fills in in English. This module
 * also writes times, intervals and notes as pages do.
 */

import { MINUTE, SECOND } from "./clock.js";
import { FACTS } from "./shared_facts.js";
import { codeOf } from "./warm_up_checks.js";
import { RULES } from "./warm_up_rules.js";
import { gettext, inside, joined, keyName, pgettext } from "./words.js";

/** @import { Plan, Planning, RunningOrder } from "./planning.js" */
/** @import { Finding, Value } from "./warm_up_checks.js" */

/** What is wrong, and what to do. @typedef {{message: string, hint: string}} Sentences */

/** What pages call the ways in which a chorus may know an exercise (`rotation.js`). @type {Record<string, () => string>} */
export const STATUS_WORDS = {
  new: () => gettext("new"),
  settling: () => gettext("settling"),
  known: () => gettext("known"),
  resting: () => gettext("back after a rest"),
};

/** The sentences of a finding. @param {Finding} finding @param {RunningOrder} order the warm-up in which it was found @param {Planning} planning @returns {Sentences} */
export function sentences({ name, values }, order, planning) {
  /** @type {Record<string, string>} */
  const words = {};
  for (const [place, value] of Object.entries(values)) words[place] = inWords(value, order, planning);
  /** @type {Record<string, Record<string, string>>} */
  const rules = RULES.findings;
  const rule = rules[name];
  return {
    message: gettext(rule.page_message ?? rule.message, words),
    hint: gettext(rule.page_hint ?? rule.hint, words),
  };
}

/**
 * The sentences of a finding in a plan. If the author of the plan has answered it, in the field `answers`
 * (`claims/answers.py`), the answer stands in place of what to do.
 * @param {Finding} finding @param {Plan} plan @param {RunningOrder} order @param {Planning} planning
 * @returns {Sentences & {answer: string}}
 */
export function noticed(finding, plan, order, planning) {
  const { message, hint } = sentences(finding, order, planning);
  const code = codeOf(finding.name);
  const answer = Object.hasOwn(plan.answers ?? {}, code) ? (plan.answers?.[code] ?? "") : "";
  return { message, hint: answer ? gettext("Answered: {reason}", { reason: answer }) : hint, answer };
}

/** A value of a finding as a phrase. @param {Value} value @param {RunningOrder} order @param {Planning} planning @returns {string} */
function inWords(value, order, planning) {
  if (typeof value !== "object") return String(value);
  const [kind, inner] = /** @type {[string, any]} */ (Object.entries(value)[0]);
  const label = (/** @type {string} */ name) => order.voices[name].label;
  if (kind === "time") return time(inner);
  if (kind === "interval") return interval(inner);
  if (kind === "item") return named(order, inner, String(value.fact ?? ""));
  if (kind === "items") return listed(inner.map((/** @type {number} */ place) => named(order, place, "")));
  if (kind === "title") return order.items[inner].title;
  if (kind === "voices") return listed(inner.map(label));
  // Translators: Soprano to G5
  if (kind === "notes") return listed(inner.map((/** @type {[string, number]} */ [voice, note]) => gettext("{voice} to {note}", { voice: label(voice), note: noteName(note) })));
  if (kind === "goal") return inside(Object.hasOwn(planning.goals, inner) ? planning.goals[inner] : inner);
  if (kind === "kind") return kindWord(inner);
  return kind === "key" ? keyName(inner) : String(inner);
}

/** The title of an item, with a fact about it. @param {RunningOrder} order @param {number} place from 0 @param {string} fact "impact", "level" or "" */
function named({ items }, place, fact) {
  const { title, impact, level, status } = items[place];
  if (fact === "impact") return gettext("“{title}” (impact {impact})", { title, impact });
  // Translators: {status} is how well the chorus knows it, such as "new".
  if (fact === "level") return gettext("“{title}” (level {level}, {status})", { title, level, status: STATUS_WORDS[status]() });
  return gettext("“{title}”", { title });
}

/** What pages call a kind of warm-up. @param {string} kind */
export function kindWord(kind) {
  return gettext(Object.entries(RULES.kinds).find(([name]) => name === kind)?.[1] ?? kind);
}

/** A length of time, rounded up to whole seconds: "2 min 5 s". @param {number} halfSeconds */
export function time(halfSeconds) {
  const whole = Math.ceil(halfSeconds / SECOND);
  const [minutes, seconds] = [Math.floor(whole / 60), whole % 60];
  if (!minutes) return gettext("{seconds} s", { seconds });
  if (!seconds) return gettext("{minutes} min", { minutes });
  return gettext("{minutes} min {seconds} s", { minutes, seconds });
}

/** An interval in words: "a fifth". @param {number} semitones */
export function interval(semitones) {
  const spans = FACTS.spans;
  return semitones < spans.length ? gettext(spans[semitones]) : gettext("{n} semitones", { n: semitones });
}

/** Several things as they are listed in a sentence: "a, b and c". @param {string[]} items */
export function listed(items) {
  if (items.length < 2) return items[0] ?? "";
  return pgettext("list", "{items} and {last}", { items: joined(items.slice(0, -1)), last: items[items.length - 1] });
}

/**
 * Who waits longest while others sing, and for how long, as a sentence; "" if nobody waits for long.
 * `pages/voice_load.py` says the same.
 * @param {[label: string, halfSeconds: number][]} waits for how long each voice waits
 */
export function longestWait(waits) {
  const longest = Math.max(0, ...waits.map(([, wait]) => wait));
  if (longest < FACTS.load.long_wait * MINUTE) return "";
  const voices = waits.flatMap(([label, wait]) => (wait === longest ? [label] : []));
  return gettext("Waits longest while others sing: {voices}, for {time}.", { voices: listed(voices), time: time(longest) });
}

/** A note with its octave, black keys as flats: "B♭3". @param {number} midi */
export function noteName(midi) {
  return FACTS.pitch.flat_names[midi % 12].replace("b", "♭") + (Math.floor(midi / 12) - 1);
}
