// Fewer and lower keys against the golden cases, which `warmups/test_key_choice.py` reads too.
import assert from "node:assert/strict";
import test from "node:test";

import { fewer, inKeys, lower } from "../../build_tools/chorus_handbook/browser/key_choice.js";
import { tonicsOf } from "../../build_tools/chorus_handbook/browser/key_path.js";
import { cases } from "./cases.mjs";

/** A scale of a fifth in six keys, for a soprano and for a bass, who steps out in the last. */
const SCALE = {
  keys: ["C4", "Db4", "D4", "Eb4", "E4", "F4"],
  tonics: [60, 61, 62, 63, 64, 65],
  voices: { soprano: [60, 67, 60, 67], bass: [48, 55, 48, 55] },
  octaves: { bass: [0, 0, 0, 0, 0, null] },
};
const VOICES = { soprano: { low: 60, high: 77 }, bass: { low: 41, high: 60 } };
const written = (row) => inKeys({ exercise: "scale" }, row, SCALE).keys;
const golden = cases("key_choice").flat();

test("there are enough cases", () => assert.ok(golden.length >= 8));

for (const { keys, shorter, lower: low } of golden) {
  test(keys, () => {
    const row = tonicsOf(keys);
    const whole = (text) => (text === "C4 up to F4" ? undefined : text);
    assert.equal(written(row), whole(keys));
    assert.equal(written(fewer(row)), shorter);
    assert.equal(written(lower(row, 2, SCALE, ["soprano", "bass"], VOICES)), low);
  });
}
