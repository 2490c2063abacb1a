// @ts-check
/**
 * Echo: each phrase of the singer's part, and then a gap as long, with the beat, in which the singer
 * answers. As with some bars (`section.js`), it becomes an exercise of its own, so that all rules of
 * a run apply. Only the browser has this.
 */

/** @import { Note, Notes } from "./schedule.js" */

/** Beats of a phrase in free meter to which the next one is added, since it is too short to answer. */
const LEAST_FREE_BEATS = 4;

/**
 * A stretch of a pass, in ticks: whole beats with one phrase, or with several short ones.
 * @typedef {{from: number, to: number, notes: Note[]}} Call
 */

/**
 * The notes of one part, each phrase followed by its gap. In the gap the same notes stand at level
 * 0, so that the score shows where the answer is.
 * @param {Notes} notes
 * @param {string} part another name is the first voice
 * @returns {Notes} the same where the part has no notes
 */
export function withGaps(notes, part) {
  const own = notes.voices.find(({ name }) => name === part) ?? notes.voices[0];
  const calls = callsOf(notes, own?.notes ?? []);
  if (!calls.length) return notes;
  const beat = notes.ticks_per_beat;
  /** @type {{begins: number[], beats: number[], chords: [number, number][], sung: Note[]}} */
  const laid = { begins: [], beats: [], chords: [], sung: [] };
  let begin = 0;
  for (const { from, to, notes: called } of calls) {
    const length = to - from;
    const moved = called.map((note) => ({ ...note, at: begin + note.at - from }));
    laid.begins.push(begin);
    laid.sung.push(...moved, ...moved.map((note) => silent(note, length)));
    for (let at = begin + length; at < begin + 2 * length; at += beat) laid.beats.push(at);
    for (const [at, lasts] of notes.chords ?? []) {
      if (at >= from && at < to) laid.chords.push([begin + at - from, Math.min(lasts, to - at)]);
    }
    begin += 2 * length;
  }
  return {
    ...notes,
    length: begin,
    bars: laid.begins,
    beats: laid.beats,
    chords: laid.chords,
    ...(calls[0].from > 0 && { pickup: 0, count_in: notes.count_in + notes.pickup }), // whole bars again
    voices: notes.voices.map((voice) => ({ ...voice, notes: voice === own ? laid.sung : [] })),
  };
}

/**
 * The same note, silent and so much later.
 * @param {Note} note
 * @param {number} later
 * @returns {Note}
 */
function silent({ swell: _, ...note }, later) {
  return { ...note, at: note.at + later, level: 0 };
}

/**
 * The stretches of a part that are sung one at a time. A phrase that is shorter than a bar is put
 * together with the next one, the last with the one before (our choice).
 * @param {Notes} notes
 * @param {Note[]} sung
 * @returns {Call[]}
 */
function callsOf(notes, sung) {
  const beat = notes.ticks_per_beat;
  const least = (notes.bar || LEAST_FREE_BEATS) * beat;
  /** @type {(group: Note[], until: number) => boolean} */
  const tooShort = ([first], until) => Math.ceil((until - first.at) / beat) * beat < least;
  /** @type {Note[][]} */
  const groups = [];
  let ended = true;
  for (const [place, note] of sung.entries()) {
    if (ended) groups.push([]);
    const group = groups[groups.length - 1];
    group.push(note);
    ended = Boolean(note.ends_phrase) && !tooShort(group, sung[place + 1]?.at ?? notes.length);
  }
  const last = groups.at(-1);
  if (last && groups.length > 1 && tooShort(last, notes.length)) groups.splice(-2, 2, [...groups[groups.length - 2], ...last]);
  return groups.map((group, place) => call(notes, group, groups[place + 1]?.[0].at ?? notes.length));
}

/**
 * Whole beats around some notes. A rest after them belongs to them as far as the bar goes.
 * @param {Notes} notes
 * @param {Note[]} group
 * @param {number} next tick at which the next phrase begins
 * @returns {Call}
 */
function call({ bars = [0], length, ticks_per_beat: beat }, group, next) {
  const [first, last] = [group[0], group[group.length - 1]];
  const bar = bars.filter((start) => start <= first.at).at(-1) ?? 0;
  const from = bar + Math.floor((first.at - bar) / beat) * beat;
  const end = last.at + last.length;
  const barEnd = bars.find((start) => start >= end) ?? length;
  const beats = Math.max(Math.ceil((end - from) / beat), Math.floor((Math.min(next, barEnd) - from) / beat));
  return { from, to: from + beats * beat, notes: group };
}
