// The search for a singer's own notes, and what is advised where a part cannot be begun.
import assert from "node:assert/strict";
import test from "node:test";

import { adviceFor } from "../../build_tools/chorus_handbook/browser/own_range_row.js";
import { answered, beginSearch } from "../../build_tools/chorus_handbook/browser/range_finder.js";

/** The note that a singer of this range ends up with, and how many notes were asked about. */
function search(direction, start, [low, high], reach) {
  let now = beginSearch(direction, start);
  for (let asked = 1; asked < 100; asked += 1) {
    const next = answered(now, now.note >= low && now.note <= high, reach);
    if ("found" in next) return { found: next.found, asked };
    now = next;
  }
  throw new Error("it never ends");
}

test("every range is found to the semitone, from wherever the search begins", () => {
  for (let low = 40; low < 70; low += 1) {
    for (let start = 45; start < 75; start += 1) {
      if (low > start + 12) continue;
      const { found, asked } = search(-1, start, [low, 127], [28, 96]);
      // Coming from below, the first note that is comfortable is within a semitone of the lowest.
      assert.ok(found === low || (low > start && found === low + 1), `${low} from ${start}: ${found}`);
      assert.ok(asked <= 21);
      const high = 110 - low;
      const up = search(1, 110 - start, [0, high], [0, 127]);
      assert.ok(up.found === high || (low > start && up.found === high - 1));
    }
  }
});

test("a search ends at the notes that can be chosen", () => {
  assert.equal(search(-1, 57, [0, 127], [40, 84]).found, 41);
  assert.equal(search(1, 57, [0, 127], [40, 84]).found, 83);
});

test("where no note is comfortable none is found", () => {
  assert.equal(search(-1, 57, [200, 201], [40, 84]).found, null);
});

const compass = (low, high) => ({
  ...{ comfortable_low: low + 2, comfortable_high: high - 2, limit_low: low, limit_high: high },
  ...{ extended_low: low, extended_high: high },
});
const reach = (lowest, highest) => ({
  ...{ lowest, highest, held_lowest: null, held_highest: null, glided_lowest: null, glided_highest: null, wide: false },
});
const voices = { soprano: { label: "Soprano" }, alto: { label: "Alto" } };
const ladder = {
  keys: ["C4", "Bb3", "A3"],
  tonics: [60, 58, 57],
  may_change_octave: false,
  voices: { soprano: reach(72, 79), alto: reach(62, 69) },
};

test("a part that is too high is left for another, for another octave, or until a later key", () => {
  assert.deepEqual(adviceFor(ladder, { voice: "soprano", compass: compass(57, 77), nearest: false }, voices), [
    "The part of the alto fits your range there.",
    "You could sing it an octave lower.",
    "You can join in from the key of B♭ on.",
  ]);
});

test("nothing is advised that would not help", () => {
  assert.deepEqual(adviceFor(ladder, { voice: "soprano", compass: compass(70, 75), nearest: false }, voices), []);
});
