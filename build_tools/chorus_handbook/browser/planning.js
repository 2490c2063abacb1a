// @ts-check
/**
 * Makes the running order of a warm-up from its fields: for each item how long it takes, in which keys it
 * is sung and by which voices, all in whole numbers. The rule is that of `warmups/planning.py`, which
 * explains it; times are in half-seconds. What it needs of each exercise is in planning.json. Items whose
 * exercise is not in the handbook are left out.
 */

import { arrivals, clockOf, minutesAfterStart, voicesNamed, voicesThere } from "./attendance.js";
import { MINUTE, length as lengthOf, sum, timetable } from "./clock.js";
import { tonicsOf } from "./key_path.js";
import { dayNumber, status, weeksRunning } from "./rotation.js";
import { RULES } from "./warm_up_rules.js";

/** @import { Status } from "./rotation.js" */

/**
 * One item of a plan, as a warm-up's file has it.
 * @typedef {object} Item
 * @property {string} exercise
 * @property {string} [keys]
 * @property {number} [minutes]
 * @property {string} [formation]
 * @property {string} [variation]
 * @property {string} [by]
 * @property {number} [if_time]
 * @property {string} [note]
 * @property {string} [at]
 * @property {string} [keep]
 * @property {string} [sung]
 * @property {string} [top]
 * @property {string} [remark]
 */

/**
 * A warm-up as its file has it. Without `kind` it is weekly; without `present` all are there.
 * @typedef {object} Plan
 * @property {string} title
 * @property {string} date such as 2026-09-03
 * @property {string} starts such as 19:30
 * @property {number} minutes
 * @property {string} [kind]
 * @property {{piece?: string, first_chord?: Record<string, string>, goals?: string[]}} [leads_into]
 * @property {string[]} [present]
 * @property {string[]} [few]
 * @property {Record<string, string>} [there]
 * @property {string} [leader]
 * @property {string} [pianist]
 * @property {string} [room]
 * @property {number} [join_in]
 * @property {string[]} [at_home]
 * @property {Record<string, string>} [answers]
 * @property {string} [file] the name of the file that it is a draft of, without ".md"
 * @property {string} [body] what stands below the fields in that file, as Markdown
 * @property {Item[]} items
 */

/**
 * What planning needs of one exercise; `PlanningNumbers` in `records/planning_numbers.py` explains the
 * fields. A field that is missing is 0, false or empty; `level` is then 1.
 * @typedef {object} Numbers
 * @property {string} title
 * @property {string} [also]
 * @property {number} impact
 * @property {number} first
 * @property {number} known
 * @property {number} [sound]
 * @property {number} [level]
 * @property {number} [lines]
 * @property {boolean} [unison]
 * @property {number} [leap]
 * @property {number} [span]
 * @property {number} [phrase]
 * @property {boolean} [half_closed]
 * @property {boolean} [is_round]
 * @property {string} [main_goal]
 * @property {boolean} [breath_free]
 * @property {boolean} [from_above]
 * @property {boolean} [active]
 * @property {string[][]} [parts]
 * @property {string[]} [families]
 * @property {boolean} [unites]
 * @property {string} [formation]
 * @property {boolean} [as_they_stand]
 * @property {string[]} [keys]
 * @property {number[]} [tonics]
 * @property {Record<string, [number, number, number | null, number | null]>} [voices]
 * @property {Record<string, (number | null)[]>} [octaves]
 * @property {Record<string, number>} [singing]
 * @property {string[]} [goals]
 * @property {string[]} [cautions]
 * @property {string} [moment]
 * @property {boolean} [seated]
 * @property {boolean} [quick]
 * @property {number} [sung]
 * @property {Record<string, number[]>} [near]
 */

/**
 * The content of planning.json (docs/data.md).
 * @typedef {object} Planning
 * @property {number} version
 * @property {string} chorus
 * @property {Record<string, {label: string, low: number, high: number}>} voices
 * @property {Record<string, string[]>} groups
 * @property {Record<string, string>} formations
 * @property {Record<string, string>} goals
 * @property {string[]} [quick_goals]
 * @property {boolean} has_families
 * @property {Record<string, string>} cautions
 * @property {string[]} days
 * @property {Record<string, string[]>} sung
 * @property {DatedWarmUp[]} [warm_ups]
 * @property {Record<string, Numbers>} exercises
 */

/** When and where a warm-up of the handbook is; `file` is the name of its file, and without `kind` it is weekly. @typedef {{file: string, title: string, date: string, starts: string, minutes: number, room?: string, kind?: string}} DatedWarmUp */

/** What one voice sings in one key; `KeyReach` in `warmups/running_order.py` explains the fields. @typedef {{lowest: number, highest: number, open_lowest: number | null, open_highest: number | null}} KeyReach */

/**
 * One item of a running order; `PlannedItem` in `warmups/running_order.py` explains the fields.
 * @typedef {object} PlannedItem
 * @property {string} slug
 * @property {string} title
 * @property {number} impact
 * @property {number} length
 * @property {number} singing
 * @property {number} sound
 * @property {number} level
 * @property {Status} status
 * @property {number} lines
 * @property {boolean} unison
 * @property {number} leap
 * @property {number} span
 * @property {number} phrase
 * @property {boolean} half_closed
 * @property {boolean} is_round
 * @property {string} main_goal
 * @property {boolean} breath_free
 * @property {boolean} from_above
 * @property {boolean} active
 * @property {string[][]} parts
 * @property {string[]} there
 * @property {string} comment
 * @property {number | null} at
 * @property {string[]} families
 * @property {boolean} unites
 * @property {string} formation
 * @property {boolean} as_they_stand
 * @property {Record<string, KeyReach>[]} keys
 * @property {string} unsung_key
 * @property {number} weeks_running
 * @property {number | null} if_time
 * @property {string | null} keep
 */

/**
 * A running order; `RunningOrder` in `warmups/running_order.py` explains the fields.
 * @typedef {object} RunningOrder
 * @property {PlannedItem[]} items
 * @property {string | null} occasion
 * @property {number | null} allowed
 * @property {Record<string, {label: string, low: number, high: number}>} voices
 * @property {string[]} music
 * @property {boolean} calm
 * @property {boolean} chord_follows
 * @property {boolean} has_families
 * @property {string[]} few
 * @property {Record<string, number>} arrivals
 * @property {number | null} join_in
 */

/** Kinds of warm-ups in which nobody walks: only a formation that the plan itself names counts. */
const IN_PLACE = ["seated", "online"];

/** The numbers of an exercise, where planning.json leaves some out. @type {Numbers} */
const NO_NUMBERS = { title: "", impact: 1, first: 0, known: 0 };

/** The running order of a plan. @param {Plan} plan @param {Planning} planning @returns {RunningOrder} */
export function runningOrder(plan, planning) {
  const kind = plan.kind ?? "weekly";
  /** @type {PlannedItem[]} */
  const items = [];
  for (const item of plan.items) {
    if (!Object.hasOwn(planning.exercises, item.exercise)) continue;
    const made = planned(item, plan, planning);
    if (IN_PLACE.includes(kind)) made.formation = item.formation ?? "";
    const slots = timetable([...items, made]);
    items.push(withVoices(made, item, planning, voicesThere(plan, planning, slots[slots.length - 1].begins)));
  }
  const music = plan.leads_into?.goals ?? [];
  return {
    items,
    occasion: kind,
    allowed: halfEven(plan.minutes * MINUTE),
    voices: planning.voices,
    music,
    calm: music.length > 0 && !music.some((goal) => planning.quick_goals?.includes(goal)),
    chord_follows: Object.keys(plan.leads_into?.first_chord ?? {}).length > 0,
    has_families: planning.has_families,
    few: (plan.few ?? []).flatMap((name) => voicesNamed(planning, name)),
    arrivals: arrivals(plan, planning),
    join_in: plan.join_in ?? null,
  };
}

/** The nearest whole number; of two that are equally near, the even one, as Python rounds. @param {number} number */
export function halfEven(number) {
  const floor = Math.floor(number);
  const rest = number - floor;
  return rest === 0.5 ? floor + (floor % 2) : Math.round(number);
}

/** How well the chorus knows an exercise on the day of the plan. @param {string} slug @param {Plan} plan @param {Planning} planning @returns {Status} */
export function statusIn(slug, plan, planning) {
  return status(sungDays(slug, planning), planning.days.map(dayNumber), dayNumber(plan.date));
}

/** The days on which an exercise was sung, as `dayNumber` counts. @param {string} slug @param {Planning} planning */
function sungDays(slug, { sung }) {
  return (Object.hasOwn(sung, slug) ? sung[slug] : []).map(dayNumber);
}

/** A planned item, without what depends on which voices are there. @param {Item} item @param {Plan} plan @param {Planning} planning @returns {PlannedItem} */
function planned(item, plan, planning) {
  const numbers = { ...NO_NUMBERS, ...planning.exercises[item.exercise] };
  const found = statusIn(item.exercise, plan, planning);
  return {
    slug: item.exercise,
    title: numbers.title,
    impact: numbers.impact,
    length: lengthIn(item, numbers, found),
    singing: 0,
    sound: soundIn(item, numbers),
    level: numbers.level ?? 1,
    status: found,
    lines: numbers.lines ?? 0,
    unison: numbers.unison ?? false,
    leap: numbers.leap ?? 0,
    span: numbers.span ?? 0,
    phrase: numbers.phrase ?? 0,
    half_closed: numbers.half_closed ?? false,
    is_round: numbers.is_round ?? false,
    main_goal: numbers.main_goal ?? "",
    breath_free: numbers.breath_free ?? false,
    from_above: numbers.from_above ?? false,
    active: numbers.active ?? false,
    parts: numbers.parts ?? [],
    there: [],
    comment: [item.variation, item.note].filter(Boolean).join(" "),
    at: item.at ? minutesAfterStart(plan, clockOf(item.at)) * MINUTE : null,
    families: numbers.families ?? [],
    unites: numbers.unites ?? false,
    formation: item.formation || numbers.formation || "",
    as_they_stand: !item.formation && (numbers.as_they_stand ?? false),
    keys: [],
    unsung_key: "",
    weeks_running: weeksRunning(sungDays(item.exercise, planning), dayNumber(plan.date)),
    if_time: item.if_time ?? null,
    keep: item.keep ?? null,
  };
}

/**
 * The places, from 0, that the keys in which an item is sung have among all keys of its exercise, in the
 * order of singing.
 * @param {Item} item
 * @param {Numbers} numbers
 */
export function plannedPlaces({ keys }, { tonics = [] }) {
  const wanted = keys ? tonicsOf(keys) : null;
  if (!wanted) return tonics.map((_, place) => place);
  return wanted.map((tonic) => tonics.lastIndexOf(tonic)).filter((place) => place >= 0);
}

/** For how long the planned keys sound. @param {Item} item @param {Numbers} numbers */
function soundIn(item, numbers) {
  const { sound = 0, tonics = [] } = numbers;
  return tonics.length ? Math.floor((sound * plannedPlaces(item, numbers).length) / tonics.length) : sound;
}

/** How long an item takes: its own minutes, or what its exercise takes at this status, less the keys that are not planned. @param {Item} item @param {Numbers} numbers @param {Status} status */
function lengthIn(item, numbers, status) {
  if (item.minutes !== undefined) return halfEven(item.minutes * MINUTE);
  const known = knownLength(item, numbers);
  return lengthOf(Math.max(numbers.first - leftOut(item, numbers), known), known, status);
}

/** How long the planned keys take once the exercise is known. @param {Item} item @param {Numbers} numbers */
export function knownLength(item, numbers) {
  const shortest = Math.min(numbers.known, RULES.clock.between); // no item takes less time than the pause after it
  return Math.max(numbers.known - leftOut(item, numbers), shortest);
}

/** How long the keys that are not planned would have sounded. @param {Item} item @param {Numbers} numbers */
function leftOut(item, numbers) {
  return (numbers.sound ?? 0) - soundIn(item, numbers);
}

/** A planned item, completed with what the voices that are there sing in each key. @param {PlannedItem} made @param {Item} item @param {Planning} planning @param {string[]} there @returns {PlannedItem} */
function withVoices(made, item, planning, there) {
  const numbers = planning.exercises[item.exercise];
  const places = plannedPlaces(item, numbers);
  const keys = places.map((place) => {
    const reaches = Object.keys(numbers.voices ?? {})
      .filter((name) => there.includes(name))
      .map((name) => /** @type {const} */ ([name, reachIn(numbers, name, place)]));
    return Object.fromEntries(reaches.flatMap(([name, reach]) => (reach ? [[name, reach]] : [])));
  });
  const unsung = keys.findIndex((key) => !Object.keys(key).length);
  return {
    ...made,
    keys,
    unsung_key: unsung < 0 ? "" : (numbers.keys ?? [])[places[unsung]],
    singing: singingIn(made, item, numbers, keys),
    there,
  };
}

/**
 * What a voice sings in the key at a place; null if it steps out there.
 * @param {Numbers} numbers
 * @param {string} voice
 * @param {number} place
 * @returns {KeyReach | null}
 */
export function reachIn({ tonics = [], voices = {}, octaves = {} }, voice, place) {
  const octave = Object.hasOwn(octaves, voice) ? octaves[voice][place] : 0;
  if (octave === null) return null;
  const moved = tonics[place] - tonics[0] + 12 * octave;
  const [lowest, highest, openLowest, openHighest] = voices[voice];
  return {
    lowest: lowest + moved,
    highest: highest + moved,
    open_lowest: openLowest === null ? null : openLowest + moved,
    open_highest: openHighest === null ? null : openHighest + moved,
  };
}

/** The singing time of the voice that sings most of an item. @param {PlannedItem} made @param {Item} item @param {Numbers} numbers @param {Record<string, KeyReach>[]} keys */
function singingIn(made, item, numbers, keys) {
  if (made.impact < 2) return 0;
  const times = Object.entries(numbers.singing ?? {}).map(([name, time]) => time * sum(keys.map((key) => Number(Object.hasOwn(key, name)))));
  const longest = Math.max(0, ...times);
  if (!longest) return Math.floor(made.length / 2);
  const known = knownLength(item, numbers);
  return known ? Math.floor((longest * Math.max(made.length, known)) / known) : longest;
}
