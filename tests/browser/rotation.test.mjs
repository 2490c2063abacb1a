// The rule of rotation against the golden cases, which `warmups/test_rotation.py` reads too.
import assert from "node:assert/strict";
import test from "node:test";

import {
  dayNumber,
  dayNumbers,
  dayOf,
  inWindow,
  status,
} from "../../build_tools/chorus_handbook/browser/rotation.js";
import { cases } from "./cases.mjs";

const golden = cases("rotation").flat();

test("there are enough cases", () => assert.ok(golden.length >= 20));

for (const { about, sung, log, day, status: expected } of golden) {
  test(about, () => {
    assert.equal(status(sung.map(dayNumber), log.map(dayNumber), dayNumber(day)), expected);
  });
}

test("a day has its number, whatever the clock says", () => {
  assert.equal(dayNumber("1970-01-02"), 1);
  for (const hour of [0, 12, 23]) {
    assert.equal(dayOf(new Date(2026, 9, 25, hour, 59)), dayNumber("2026-10-25"));
  }
});

test("days stand in an attribute with spaces between", () => {
  assert.deepEqual(dayNumbers("1970-01-01 1970-02-01"), [0, 31]);
  assert.deepEqual([dayNumbers(""), dayNumbers()], [[], []]);
});

test("four weeks hold four evenings a week apart, the last one among them", () => {
  const end = dayNumber("2026-11-26");
  const evenings = [7, 0, -7, -14, -21, -28].map((days) => inWindow(end + days, end));
  assert.deepEqual(evenings, [false, true, true, true, true, false]);
});
