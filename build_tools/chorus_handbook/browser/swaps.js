// @ts-check
/**
 * Finds exercises that could take the place of an item in a warm-up, and says why each could. The rule
 * is that of `warmups/swaps.py`, which explains it, with the same numbers (`shared_facts.js`). Times are
 * in half-seconds.
 */

import { sum, timetable, total } from "./clock.js";
import { FACTS } from "./shared_facts.js";
import { codeOf, findings } from "./warm_up_checks.js";
import { RULES } from "./warm_up_rules.js";

/** @import { PlannedItem, RunningOrder } from "./planning.js" */

const WEEK = 7; // days

/** What a director may ask of a swap. "without": that it can be sung without a voice that is absent; "rested": not sung lately. @typedef {"easier" | "shorter" | "seated" | "without" | "gentler" | "rested"} Wish */

/**
 * Why an exercise could take an item's place: a code, and a number whose meaning depends on it; see
 * `Reason` in `warmups/swaps.py`.
 * @typedef {[code: string, number: number]} Reason
 */

/**
 * An exercise as it would be planned in an item's place, or the item itself: see `Candidate` in
 * `warmups/swaps.py`.
 * @typedef {{item: PlannedItem, goals: string[], moment: string, seated: boolean, quick: boolean, outings: number,
 *   rested: number | null, keys: string | null}} Candidate
 */

/** An exercise that could take an item's place, with its reasons, the strongest first; `keys` as in `Candidate`. @typedef {{item: PlannedItem, reasons: Reason[], keys: string | null}} Swap */

/** The code of the finding that a warm-up has too many new items, and the level of an exercise that takes some weeks to learn. */
const NEW = "warmup-new";
const HARD = 3;
/** The highest impact of quiet sound, and how many items at the end lead into the music. */
const QUIET = 2;
const LEADING = 2;

/**
 * The best swaps for the item at `place` (from 0), which is `own`, the best first; if there is a wish,
 * only those that grant it. Empty if nothing fits.
 * @param {RunningOrder} order
 * @param {number} place
 * @param {Candidate} own
 * @param {Candidate[]} candidates
 * @param {Wish | null} wish
 * @returns {Swap[]}
 */
export function swaps(order, place, own, candidates, wish = null) {
  const { most, reasons: shown } = FACTS.swaps;
  const { items, allowed } = order;
  const planned = new Set(items.map((item) => item.slug));
  const before = found(order);
  const longest = allowed === null ? Infinity : Math.max(allowed, total(items));
  const moves = movesIn(items);
  const ranked = [];
  for (const other of candidates) {
    if (planned.has(other.item.slug) || !hasSameAim(order, place, own, other, wish)) continue;
    const changed = items.map((item, index) => (index === place ? other.item : item));
    if (total(changed) > longest) continue;
    if (![...found({ ...order, items: changed })].every((one) => before.has(one))) continue;
    const reasons = [...reasonsFor(own, other, moves - movesIn(changed), order.music)];
    const weighed = weigh(reasons, wish).slice(0, shown);
    if (wish && !weighed[0].wished) continue;
    ranked.push({
      fresh: Number(other.item.status === "new"),
      strength: sum(weighed.map((one) => one.strength)),
      distance: distanceOf(own.item, other.item),
      swap: { item: other.item, reasons: weighed.map((one) => one.reason), keys: other.keys },
    });
  }
  ranked.sort(
    (one, other) =>
      one.fresh - other.fresh ||
      other.strength - one.strength ||
      one.distance - other.distance ||
      (one.swap.item.slug < other.swap.item.slug ? -1 : 1)
  );
  return ranked.slice(0, most).map((one) => one.swap);
}

/** The codes of all findings with the places of their items, without those about new items. @param {RunningOrder} order */
function found(order) {
  const about = findings(order).map(({ name, item }) => ({ code: codeOf(name), item }));
  return new Set(about.filter(({ code }) => code !== NEW).map(({ code, item }) => `${code} ${item}`));
}

/** How often the formation changes. @param {PlannedItem[]} items */
function movesIn(items) {
  return timetable(items).filter((slot) => slot.moves).length;
}

/**
 * Whether another exercise serves the same purpose at this place.
 * @param {RunningOrder} order
 * @param {number} place
 * @param {Candidate} own
 * @param {Candidate} other
 * @param {Wish | null} wish
 */
function hasSameAim(order, place, own, other, wish) {
  const { items, occasion } = order;
  const { impact, gentler: lower } = FACTS.swaps;
  const last = place === items.length - 1;
  const higher = other.item.impact - own.item.impact;
  const gentler = wish === "gentler" && -lower <= higher && higher <= 0;
  const here = place === 0 ? "opening" : last ? "closing" : "";
  const singers = singersOf(other.item);
  return (
    other.goals.includes(own.item.main_goal) &&
    (Math.abs(higher) <= impact || gentler) &&
    keepsItsPlace(order, place, own, other, wish) &&
    ["", "middle", own.moment, here].includes(other.moment) &&
    (other.item.unites || !(last && own.item.unites)) &&
    (!other.item.keys.length || [...singersOf(own.item)].every((voice) => singers.has(voice))) &&
    !other.item.unsung_key &&
    !(other.item.status === "new" && (occasion === "concert" || other.item.level === HARD))
  );
}

/**
 * Whether another exercise does in the build-up what the item does; `_keeps_its_place` in
 * `warmups/swaps.py` explains each condition.
 * @param {RunningOrder} order
 * @param {number} place
 * @param {Candidate} own
 * @param {Candidate} other
 * @param {Wish | null} wish
 */
function keepsItsPlace({ items, music, calm }, place, own, other, wish) {
  const { impact } = other.item;
  const sung = (impact === 1) === (own.item.impact === 1) || wish === "gentler";
  const loudBefore = items.slice(0, place).some((item) => item.impact > QUIET);
  const quiet = loudBefore || own.item.impact > QUIET || isQuiet(other.item);
  const ends = place === items.length - 1 || items.slice(0, place + 1).some((item) => item.at !== null);
  const stronger = ends && impact > own.item.impact;
  const leadsIn = place >= items.length - LEADING && servesMusic(music, own);
  const serves = !leadsIn || servesMusic(music, other);
  const quick = calm && other.quick && impact > 1 && !own.quick;
  return sung && quiet && serves && !(stronger || quick);
}

/** Whether one of an exercise's goals is one of the music that follows. @param {string[]} music @param {Candidate} one */
function servesMusic(music, one) {
  return music.some((goal) => one.goals.includes(goal));
}

/** Whether an item is half-closed or gentle, or needs no voice. @param {PlannedItem} item */
export function isQuiet({ half_closed, impact }) {
  return half_closed || impact <= QUIET;
}

/** The voices that sing in at least one of an item's keys. @param {PlannedItem} item */
function singersOf(item) {
  return new Set(item.keys.flatMap((key) => Object.keys(key)));
}

/**
 * Reasons sorted: first what was asked for, then by strength, then as in the table of strengths.
 * @param {Reason[]} reasons
 * @param {Wish | null} wish
 */
function weigh(reasons, wish) {
  const table = Object.entries(FACTS.swaps.strengths);
  return reasons
    .map((reason) => {
      const [code] = reason;
      const rank = table.findIndex(([other]) => other === code);
      const wished = code === wish || (wish === "gentler" && code === "half-closed");
      return { wished, strength: table[rank][1], rank, reason };
    })
    .filter((one) => one.wished || one.strength || one.reason[0] === "time")
    .sort(
      (one, other) =>
        Number(other.wished) - Number(one.wished) ||
        other.strength - one.strength ||
        one.rank - other.rank
    );
}

/**
 * All reasons that are true.
 * @param {Candidate} own
 * @param {Candidate} other
 * @param {number} fewer by how many changes of formation the order has fewer
 * @param {string[]} music the goals of the music that follows
 * @returns {Iterable<Reason>}
 */
function* reasonsFor(own, other, fewer, music) {
  const { between } = RULES.clock;
  const [before, after] = [own.item, other.item];
  if (effort(after) < effort(before)) yield ["easier", effort(after)];
  const shorter = before.length - after.length;
  if (shorter >= between) yield ["shorter", shorter];
  if (servesMusic(music, other)) yield ["music", 0];
  if (other.seated) yield ["seated", 0];
  const there = new Set(after.there);
  const whole = after.parts.every((part) => part.some((voice) => there.has(voice)));
  if (!after.keys.length || whole) yield ["without", 0];
  if (after.impact < before.impact) yield ["gentler", after.impact];
  if (after.half_closed && !before.half_closed) yield ["half-closed", 0];
  if (other.rested !== null && other.rested >= FACTS.rotation.window) {
    yield ["rested", Math.floor(other.rested / WEEK)];
  }
  yield [after.main_goal === before.main_goal ? "goal" : "also-goal", 0];
  if (after.status === "settling" && (other.outings === 1 || other.outings === 2)) {
    yield [other.outings === 1 ? "second" : "third", 0];
  }
  if (after.status === "known" && before.status !== "known") yield ["known", 0];
  if (fewer > 0) yield ["stay", fewer];
  const singers = singersOf(before);
  const more = [...singersOf(after)].filter((voice) => !singers.has(voice)).length;
  if (before.keys.length && more) yield ["everyone", more];
  yield ["time", after.length];
}

/** How hard an item is to learn, 1 to 3; one less once it is known. @param {PlannedItem} item */
function effort(item) {
  return Math.max(1, item.level - (item.status === "known" ? 1 : 0));
}

/** How much an exercise differs from another. @param {PlannedItem} own @param {PlannedItem} other */
function distanceOf(own, other) {
  const { impact, level } = FACTS.swaps.distance;
  return (
    impact * Math.abs(own.impact - other.impact) +
    level * Math.abs(effort(own) - effort(other)) +
    Math.floor(Math.abs(own.length - other.length) / RULES.clock.between)
  );
}
