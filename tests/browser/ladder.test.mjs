// The rule of the ladder against the golden cases, which `voices/test_rule_cases.py` reads too.
import assert from "node:assert/strict";
import test from "node:test";

import {
  holdsBeyondComfort,
  moved,
  otherOctave,
  state,
} from "../../build_tools/chorus_handbook/browser/ladder.js";
import { cases } from "./cases.mjs";

const golden = cases("ladder_rule").flat();

test("there are enough cases", () => assert.ok(golden.length >= 20));

for (const { about, reach, compass, semitones, ...expected } of golden) {
  test(about, () => {
    const there = semitones ? moved(reach, semitones) : reach;
    assert.deepEqual(
      {
        state: state(there, compass),
        holds_beyond_comfort: holdsBeyondComfort(there, compass),
        other_octave: otherOctave(there, compass),
      },
      expected,
    );
  });
}
