// What degrees are called, in scale numbers and sol-fa.
import assert from "node:assert/strict";
import test from "node:test";

import { scaleNumber, solFa } from "../../build_tools/chorus_handbook/browser/degree_names.js";
import { degreeRows } from "../../build_tools/chorus_handbook/browser/degree_rows.js";
import { cases } from "./cases.mjs";

for (const [mode, start, steps, semitones, number, syllable] of cases("degree_names")[0].cases) {
  test(`${mode}: ${steps} steps and ${semitones} semitones above the tonic`, () => {
    assert.equal(scaleNumber(start, steps, semitones), number);
    assert.equal(solFa(start, steps, semitones), syllable);
  });
}

test("a degree that is raised twice has one sharp more", () => {
  assert.equal(scaleNumber(0, 3, 7), "♯♯4");
  assert.equal(solFa(0, 3, 7), "♯fi");
  assert.equal(solFa(0, 6, 9), "♭te");
});

test("what is drawn once is named once, what is spoken not at all", () => {
  const note = (drawn, steps, semitones) => ({ drawn, steps, semitones });
  const line = [note("a-1", [4, 2], [7, 4]), note("a-2", [], []), note("a-3", [0], [0])];
  const voices = [line, line, [note("t-1", [], [])]].map((notes) => ({ notes }));
  const texts = [{ note: "a-1", lines: ["mi", "do"] }, { note: "a-3", lines: ["la"] }];
  assert.deepEqual(degreeRows({ mode_start: 5, voices }, "sol-fa").map(({ texts: found }) => found.length), [2]);
  assert.deepEqual(degreeRows({ mode_start: 5, voices: [{ notes: [note("a-1", [4, 2], [7, 3]), line[2]] }] }, "sol-fa"), [{ side: "below", texts }]);
});
