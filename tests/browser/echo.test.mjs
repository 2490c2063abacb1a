// Each phrase of a part, and a gap as long to answer in. That call and answer are equally long is
// common practice.
import assert from "node:assert/strict";
import test from "node:test";

import { withGaps } from "../../build_tools/chorus_handbook/browser/echo.js";
import { loudness } from "../../build_tools/chorus_handbook/browser/loudness.js";
import { schedule } from "../../build_tools/chorus_handbook/browser/schedule.js";
import { cases } from "./cases.mjs";

const note = (at, length, more = {}) => ({
  ...{ id: `alto-${at}`, drawn: `alto-${at}`, at, length, semitones: [0], steps: [0], cents: [0], level: 1 },
  ...more,
});
/** Bars of four beats, 4 ticks a beat, unless said otherwise; `notes` are the alto's. */
const made = (notes, length, more = {}) => ({
  ...{ version: 1, title: "Case", tempo: 60, ticks_per_beat: 4, length, passes: 1, lead_in: 0, count_in: 4 },
  ...{ bar: 4, pickup: 0, bars: [0, 16], keys: [{ key: "C4", midi: 60 }], lead_chord: [[0]], lead_cents: [0] },
  ...{ tuning: { to: "tonic", told: "" }, chords: [] },
  voices: [{ name: "alto", label: "Alto", notes }, { name: "bass", label: "Bass", notes: [note(0, length)] }],
  ...more,
});
const END = { ends_phrase: true };
const laid = ({ voices }) => voices[0].notes.map(({ at, level }) => [at, level]);

test("a phrase of a bar is answered in a bar of clicks", () => {
  const notes = made([note(0, 8), note(8, 4, END), note(16, 15, END)], 32);
  const echo = withGaps(notes, "alto");
  assert.deepEqual(laid(echo), [[0, 1], [8, 1], [16, 0], [24, 0], [32, 1], [48, 0]]);
  assert.deepEqual([echo.length, echo.bars], [64, [0, 32]]);
  assert.deepEqual(echo.beats, [16, 20, 24, 28, 48, 52, 56, 60]);
  assert.deepEqual(echo.voices[1].notes, []);
});

test("the gap lasts as long as its phrase by the notes' own times", () => {
  let phrases = 0;
  for (const { notes } of cases("schedule")) {
    for (const { name, notes: own } of notes.voices.filter((voice) => voice.notes.length)) {
      const echo = withGaps(notes, name);
      const found = echo.voices.find((voice) => voice.name === name)?.notes ?? [];
      assert.equal(found.length, 2 * own.length);
      const [calls, answers] = [found.filter(({ level }) => level > 0), found.filter(({ level }) => level === 0)];
      assert.deepEqual(calls.map(({ id }) => id), answers.map(({ id }) => id));
      echo.bars.forEach((begin, place) => {
        const end = echo.bars[place + 1] ?? echo.length;
        const inside = (one) => one.at >= begin && one.at < end;
        const half = (end - begin) / 2;
        const [called, answered] = [calls.filter(inside), answers.filter(inside)];
        assert.ok(called.length && called.every((one) => one.at < begin + half));
        assert.deepEqual(answered.map(({ at }) => at), called.map(({ at }) => at + half));
        // Within the phrase nothing is hurried: from note to note as in the file.
        const times = new Map(own.map(({ id, at }) => [id, at]));
        for (const one of called) assert.equal(one.at - called[0].at, times.get(one.id) - times.get(called[0].id));
        assert.equal(half % notes.ticks_per_beat, 0);
        phrases += 1;
      });
    }
  }
  assert.ok(phrases > 10);
});

test("what is shorter than a bar is sung together with the next phrase", () => {
  const short = [0, 4, 8, 12, 16, 20, 24].map((at) => note(at, 2, END));
  assert.deepEqual(withGaps(made(short, 32), "alto").bars, [0, 32]); // a bar each
  const rest = made([note(0, 15, END), note(16, 12, END), note(32, 4)], 36, { bars: [0, 16, 32] });
  assert.deepEqual(laid(withGaps(rest, "alto")).slice(2), [[32, 1], [48, 1], [52, 0], [68, 0]]);
});

test("a phrase that begins before the bar is not cut, and the beat goes on", () => {
  const upbeat = made([note(14, 2), note(16, 12, END), note(30, 2), note(32, 14)], 48, { bars: [0, 16, 32] });
  const echo = withGaps(upbeat, "alto");
  assert.deepEqual(laid(echo).slice(0, 4), [[2, 1], [4, 1], [18, 0], [20, 0]]); // from the beat before it
  assert.deepEqual(echo.beats.slice(0, 5), [16, 20, 24, 28, 52]);
  assert.deepEqual([echo.pickup, echo.count_in], [0, 4]);
});

test("a long rest while others sing is left out, and one up to the barline kept", () => {
  const waits = made([note(0, 8, END), note(48, 16)], 64, { bars: [0, 16, 32, 48] });
  assert.deepEqual(withGaps(waits, "alto").bars, [0, 32]);
});

test("the gap is silent but for the beat, and leaves the loudness as it is", () => {
  const notes = made([note(0, 16, { swell: [[8, 0.5]] }), note(16, 16)], 32);
  const events = schedule(withGaps(notes, "alto"), { count_in: false });
  assert.deepEqual(events.filter(({ kind }) => kind === "click").map(({ at }) => at), [8, 9, 10, 11, 12, 13, 14, 15]);
  assert.ok(events.filter(({ at, voice }) => voice && at >= 8).every(({ level, swell }) => level === 0 && !swell));
  const tones = [{ midi: 60, power: [1, 1, 1, 1, 1, 1] }];
  const sung = (all) => loudness(all.filter(({ voice }) => voice === "alto"), new Map(), tones);
  assert.equal(sung(events), sung(schedule(notes, { count_in: false })));
});

test("where there is nothing to sing, nothing changes", () => {
  const empty = made([], 16, { voices: [{ name: "alto", label: "Alto", notes: [] }] });
  assert.equal(withGaps(empty, "alto"), empty);
  assert.ok(withGaps(made([note(0, 16)], 16), "nobody").beats.length); // the first voice's
});
