// What sounds when, against the golden cases, which `sound/test_schedule.py` reads too.
import assert from "node:assert/strict";
import test from "node:test";

import { schedule } from "../../build_tools/chorus_handbook/browser/schedule.js";
import { cases } from "./cases.mjs";

/** Numbers to six places, and nothing that is null: Python has a null where JavaScript has none. */
function rounded(value) {
  if (typeof value === "number") return Number(value.toFixed(6));
  if (Array.isArray(value)) return value.map(rounded);
  if (value === null || typeof value !== "object") return value;
  const known = Object.entries(value).filter(([, one]) => one !== null && one !== undefined);
  return Object.fromEntries(known.map(([name, one]) => [name, rounded(one)]));
}

for (const { about, notes, options, events } of cases("schedule")) {
  test(about, () => assert.deepEqual(rounded(schedule(notes, options)), rounded(events)));
}
