// @ts-check
/**
 * Makes an echo of the singer's part: each phrase is followed by a gap of the same length, in which only
 * the beat is heard and the singer repeats the phrase. The result has the form of the notes of an
 * exercise, as for some bars (`section.js`), so the player needs no rules of its own for it. Practice
 * tracks do not have this.
 */

/** @import { Note, Notes } from "./schedule.js" */

/** In free meter, a phrase with fewer beats is too short to repeat and is joined with the next one. */
const LEAST_FREE_BEATS = 4;

/**
 * The stretch of a pass (the exercise once through) that is sung before a gap: whole beats, with one phrase
 * or several short ones. `from` and `to` are in ticks.
 * @typedef {{from: number, to: number, notes: Note[]}} Call
 */

/**
 * The notes of one part, each phrase followed by its gap. The gap contains the same notes at level 0,
 * which is silent, so that the score can show them.
 * @param {Notes} notes
 * @param {string} part the name of a voice; any other name means the first voice
 * @returns {Notes} `notes` unchanged if the part has no notes
 */
export function withGaps(notes, part) {
  const own = notes.voices.find(({ name }) => name === part) ?? notes.voices[0];
  const calls = callsOf(notes, own?.notes ?? []);
  if (!calls.length) return notes;
  const beat = notes.ticks_per_beat;
  /** The calls and gaps laid end to end. @type {{begins: number[], beats: number[], chords: [number, number][], sung: Note[]}} */
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
 * A copy of a note that is silent and `later` ticks later.
 * @param {Note} note
 * @param {number} later
 * @returns {Note}
 */
function silent({ swell: _, ...note }, later) {
  return { ...note, at: note.at + later, level: 0 };
}

/**
 * The stretches of a part that are sung one at a time. A phrase that is shorter than a bar is joined
 * with the next one, and the last with the one before (our choice).
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
 * The stretch of whole beats that contains a group of notes, and a rest after it up to the bar line.
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
