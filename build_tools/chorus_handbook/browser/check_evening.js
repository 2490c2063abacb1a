// @ts-check
/**
 * The checks of a warm-up's time, of what was sung before, of how the singers stand and of who is there.
 * They are those of the modules `time`, `length`, `formation`, `new`, `running`, `voices`, `parts`,
 * `join_in` and `arrivals` in `warmups/checks/`, where each is explained.
 */

import { over, timetable, total } from "./clock.js";
import { RULES } from "./warm_up_rules.js";

/** @import { PlannedItem, RunningOrder } from "./planning.js" */
/** @import { Finding } from "./warm_up_checks.js" */

const { clock, limits } = RULES;

/** The check of `time`: a warm-up that takes longer than it may. @param {RunningOrder} order @returns {Finding[]} */
export function checkTime({ items, allowed }) {
  const needed = items.flatMap(({ if_time }, place) => (if_time ? [] : [place]));
  const takes = total(needed.map((place) => items[place]));
  if (allowed === null || !over(takes, allowed)) return [];
  const longest = needed.reduce((most, place) => (items[place].length > items[most].length ? place : most));
  const values = {
    time: { time: takes },
    over: { time: takes - allowed },
    item: { item: longest, fact: "" },
    length: { time: items[longest].length },
  };
  return [{ name: "time", item: null, values }];
}

/** The check of `length`: a warm-up that is long for its kind. @param {RunningOrder} order @returns {Finding[]} */
export function checkLength({ items, occasion, allowed }) {
  if (occasion === null || allowed === null) return [];
  const takes = Math.min(total(items), allowed);
  const longest = Object.entries(limits.longest).find(([kind]) => kind === occasion)?.[1] ?? takes;
  if (2 * takes <= 3 * longest) return [];
  return [{ name: "length", item: null, values: { time: { time: takes }, kind: { kind: occasion }, longest: { time: longest } } }];
}

/** The check of `formation`: too many changes of formation. @param {RunningOrder} order @returns {Finding[]} */
export function checkFormation({ items }) {
  const changes = timetable(items).flatMap(({ moves }, place) => (moves ? [place] : []));
  const place = changes[limits.most_changes];
  if (place === undefined) return [];
  const n = changes.length;
  return [{ name: "formation", item: place, values: { item: { item: place, fact: "" }, n, time: { time: n * (clock.change - clock.between) } } }];
}

/** The check of `new`: too much that is new to the chorus. @param {RunningOrder} order @returns {Finding[]} */
export function checkNew({ items, occasion }) {
  const places = items.flatMap(({ status }, place) => (status === "new" ? [place] : []));
  return places.flatMap(/** @returns {Finding[]} */ (place, count) => {
    const item = { item: place, fact: "" };
    if (occasion === "concert") return [{ name: "new-concert", item: place, values: { item } }];
    if (items[place].level === 3) return [{ name: "new-hard", item: place, values: { item } }];
    if (!count) return [];
    return [{ name: count === 1 ? "new-second" : "new-further", item: place, values: { item, others: { items: places.slice(0, count) } } }];
  });
}

/** The check of `running`: an item that was sung for too many weeks in a row. @param {RunningOrder} order @returns {Finding[]} */
export function checkRunning({ items }) {
  return items.flatMap(({ weeks_running: n, keep }, place) =>
    n >= limits.too_many_weeks && keep === null ? [{ name: "running", item: place, values: { item: { item: place, fact: "" }, n } }] : [],
  );
}

/** The check of `voices`: a key that no voice present can sing. @param {RunningOrder} order @returns {Finding[]} */
export function checkVoices({ items }) {
  return items.flatMap(({ unsung_key: key }, place) =>
    key ? [{ name: "voices", item: place, values: { item: { item: place, fact: "" }, key: { key } } }] : [],
  );
}

/** The check of `parts`: a line whose voices are all absent, or that one or two singers have alone. @param {RunningOrder} order @returns {Finding[]} */
export function checkParts(order) {
  return order.items.flatMap(/** @returns {Finding[]} */ (one, place) => {
    const { parts, there, is_round } = one;
    if (parts.length < 2) return [];
    const item = { item: place, fact: "" };
    const absent = is_round ? [] : parts.filter((part) => !part.some((voice) => there.includes(voice)));
    const missing = absent.flatMap((part) => unnamed(order, part, one));
    if (missing.length) return [{ name: "parts-missing", item: place, values: { item, n: parts.length, voices: { voices: missing } } }];
    const singers = parts.map((part) => part.filter((voice) => there.includes(voice)));
    const few = singers.filter((part) => part.length === 1 && order.few.includes(part[0]));
    const alone = few.flatMap((part) => unnamed(order, part, one));
    return alone.length ? [{ name: "parts-alone", item: place, values: { item, voices: { voices: alone } } }] : [];
  });
}

/** The voices of a line, in the chorus's order; none if the item's comment names one of them, because the leader has thought of it then. @param {RunningOrder} order @param {string[]} part @param {PlannedItem} item */
function unnamed({ voices }, part, { comment }) {
  const names = Object.keys(voices).filter((name) => part.includes(name));
  const text = comment.toLowerCase();
  return names.some((name) => text.includes(voices[name].label.toLowerCase())) ? [] : names;
}

/** Whether people who have not sung yet can join in with this item. @param {PlannedItem} item */
export function suitsLatecomers({ impact, level, status }) {
  const effort = Math.max(1, level - Number(status === "known"));
  return impact <= limits.join_in.impact && effort <= limits.join_in.effort;
}

/**
 * The number of the item after which late singers join in; 0 if there is none. If the plan does not say,
 * it is the second or third item, if the one after it suits them (`_join_in` in `pages/warm_up.py`).
 * @param {RunningOrder} order
 */
export function joinsAfter({ items, join_in }) {
  return join_in || ([2, 3].find((place) => place < items.length && suitsLatecomers(items[place])) ?? 0);
}

/** The check of `join_in`: latecomers who would join in with an item that asks too much. @param {RunningOrder} order @returns {Finding[]} */
export function checkJoinIn({ items, join_in: n }) {
  if (n === null || n >= items.length || suitsLatecomers(items[n])) return [];
  const { impact } = limits.join_in;
  return [{ name: "join-in", item: null, values: { n, item: { item: n, fact: items[n].impact > impact ? "impact" : "level" }, impact } }];
}

/** The check of `arrivals`: a late voice whose first item is not gentle. @param {RunningOrder} order @returns {Finding[]} */
export function checkArrivals({ items, arrivals }) {
  const slots = timetable(items);
  /** @type {Map<number, string[]>} */
  const firstOf = new Map();
  for (const [voice, arrives] of Object.entries(arrivals)) {
    const place = items.findIndex((item, n) => slots[n].begins >= arrives && sings(voice, item));
    if (place >= 0) firstOf.set(place, [...(firstOf.get(place) ?? []), voice]);
  }
  const impact = limits.first_impact;
  return [...firstOf]
    .sort(([a], [b]) => a - b)
    .filter(([place]) => items[place].impact > impact)
    .map(([place, names]) => ({
      name: names.length === 1 ? "arrival-one" : "arrival-several",
      item: place,
      values: {
        voices: { voices: names },
        time: { time: Math.max(...names.map((name) => arrivals[name])) },
        item: { item: place, fact: "impact" },
        impact,
      },
    }));
}

/** Whether a voice sings in an item. In an item without notes every voice does, unless its impact is 1. @param {string} voice @param {PlannedItem} item */
function sings(voice, { keys, impact }) {
  return keys.length ? keys.some((key) => Object.hasOwn(key, voice)) : impact > 1;
}
