// How far a date is from today, in words.
import assert from "node:assert/strict";
import test from "node:test";

import { distance } from "../../build_tools/chorus_handbook/browser/time_ago.js";

/** A Thursday, late in the evening. */
const TODAY = new Date(2026, 10, 26, 23, 50);

for (const [date, words] of [
  ["2026-11-26", "today"],
  ["2026-11-25", "yesterday"],
  ["2026-11-27", "tomorrow"],
  ["2026-11-19", "7 days ago"],
  ["2026-11-12", "2 weeks ago"],
  ["2026-10-01", "8 weeks ago"],
  ["2026-12-10", "in 2 weeks"],
  ["2026-03-29", "7 months ago"],
]) {
  test(`${date} is ${words}`, () => assert.equal(distance(date, TODAY), words));
}
