// Some bars of an exercise by themselves.
import assert from "node:assert/strict";
import test from "node:test";

import { schedule } from "../../build_tools/chorus_handbook/browser/schedule.js";
import { barAt, section } from "../../build_tools/chorus_handbook/browser/section.js";
import { cases } from "./cases.mjs";

const note = (at, length, more = {}) => ({
  ...{ id: `alto-${at}`, drawn: `alto-${at}`, at, length, semitones: [0], steps: [0], cents: [0], level: 1 },
  ...more,
});
// A pickup of a beat, then three bars of two beats, 4 ticks a beat.
const NOTES = {
  ...{ version: 1, title: "Case", tempo: 60, ticks_per_beat: 4, length: 28, passes: 1, lead_in: 0, count_in: 3 },
  ...{ bar: 2, pickup: 1, bars: [0, 4, 12, 20], keys: [{ key: "C4", midi: 60 }], lead_chord: [[0]], lead_cents: [0] },
  ...{ tuning: { to: "tonic", told: "" }, chords: [[4, 8], [20, 8]] },
  voices: [{
    name: "alto",
    label: "Alto",
    notes: [note(0, 4), note(4, 12, { swell: [[10, 0.5]] }), note(16, 8, { glide: [4, [2]] }), note(24, 4, { joined: true })],
  }],
};
const spans = ({ voices }) => voices[0].notes.map(({ at, length }) => [at, length]);

test("a tick lies in its bar", () => {
  assert.deepEqual([0, 3, 4, 11, 12, 27].map((tick) => barAt(NOTES, tick)), [0, 0, 1, 1, 2, 3]);
});

test("bars are cut out, set backwards too, and notes at their ends are shortened", () => {
  const one = section(NOTES, 2, 2, false);
  assert.deepEqual([one.length, one.bars, one.pickup, one.count_in], [8, [0], 0, 4]);
  assert.deepEqual(spans(one), [[0, 4], [4, 4]]);
  assert.deepEqual(one.voices[0].notes[0].swell, [[2, 0.5]]);
  assert.equal(one.voices[0].notes[1].glide, undefined);
  assert.deepEqual(section(NOTES, 3, 1, false), section(NOTES, 1, 3, false));
  assert.deepEqual(section(NOTES, 3, 2, false).chords, [[8, 8]]);
});

test("a note into which another led is struck where its section begins with it", () => {
  const last = section({ ...NOTES, bars: [0, 24] }, 1, 1, false);
  assert.equal(last.voices[0].notes[0].joined, undefined);
  assert.equal(section(NOTES, 2, 3, false).voices[0].notes.at(-1).joined, true);
});

test("a rest of a bar follows where it is asked for", () => {
  assert.equal(section(NOTES, 1, 1, true).length, 16);
  const free = section({ ...NOTES, bar: 0 }, 2, 2, true);
  assert.equal(free.length, 16);
});

test("all bars are the whole exercise", () => {
  assert.equal(section(NOTES, 0, 3, false), NOTES);
});

test("what a section sounds is what the whole run sounds there", () => {
  const sounds = (notes) => schedule(notes, { count_in: false }).filter(({ voice, midi }) => voice && midi !== null);
  let compared = 0;
  for (const { notes } of cases("schedule")) {
    const onsets = notes.voices.flatMap(({ notes: all }) => all.map(({ at }) => at)).sort((a, b) => a - b);
    const half = onsets[Math.floor(onsets.length / 2)];
    const all = { ...notes, passes: 1, keys: notes.keys.slice(0, 1), bars: [0, half] };
    const second = 60 / (notes.tempo * notes.ticks_per_beat);
    const begin = half * second;
    const whole = sounds(all).filter(({ at }) => at >= begin - 1e-9);
    const part = sounds(section(all, 1, 1, false)).filter(({ at }) => at >= 0);
    const short = ({ at, id, midi }, by) => [Number((at - by).toFixed(6)), id, Number(midi.toFixed(6))];
    // A chain of joined notes that began earlier goes on as a sound of its own.
    const begun = new Set(whole.map(({ id }) => id));
    assert.deepEqual(part.filter(({ id }) => begun.has(id)).map((one) => short(one, 0)), whole.map((one) => short(one, begin)));
    compared += whole.length;
  }
  assert.ok(compared > 3);
});
