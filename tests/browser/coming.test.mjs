// Which warm-ups are coming, which is the next, and what its day is called.
import assert from "node:assert/strict";
import test from "node:test";

import { dayName, daysUntil, inOrder, next } from "../../build_tools/chorus_handbook/browser/coming.js";
import { practiceOf } from "../../build_tools/chorus_handbook/browser/practice.js";

/** A Sunday, late in the evening. */
const NOW = new Date(2026, 10, 29, 23, 50);
const DATES = ["2026-11-21", "2026-12-10", "2026-12-03", "2026-11-12"];

test("the next is the first that is not over; today's is not", () => {
  assert.equal(next(DATES, NOW), "2026-12-03");
  assert.equal(next([...DATES, "2026-11-29"], NOW), "2026-11-29");
  assert.equal(next(["2026-11-28"], NOW), undefined);
  assert.equal(next([], NOW), undefined);
});

test("coming ones stand first, the next at the top, then the past, the latest first", () => {
  assert.deepEqual(inOrder(DATES, NOW), {
    coming: ["2026-12-03", "2026-12-10"],
    past: ["2026-11-21", "2026-11-12"],
  });
  assert.deepEqual(inOrder(["2026-12-03", "2026-12-03"], NOW).coming.length, 2);
});

test("days are counted by the calendar, across the change of clocks too", () => {
  assert.equal(daysUntil("2026-11-30", NOW), 1);
  assert.equal(daysUntil("2027-01-01", new Date(2026, 11, 31, 0, 5)), 1);
  assert.equal(daysUntil("2026-10-26", new Date(2026, 9, 24, 12)), 2);
  assert.equal(daysUntil("2028-03-01", new Date(2028, 1, 28)), 2);
});

test("a near day has its name, another its date", () => {
  const names = ["2026-11-28", "2026-11-29", "2026-11-30", "2026-12-01", "2026-12-05", "2026-12-06"];
  assert.deepEqual(names.map((date) => dayName(date, NOW)), [null, "today", "tomorrow", "Tuesday", "Saturday", null]);
});

test("an address asks for what is to sound, or for nothing that is known", () => {
  assert.deepEqual(practiceOf("?sounds=echo&part=alto&key=D4"), { mix: "echo", part: "alto" });
  assert.deepEqual(practiceOf("?sounds=all"), { mix: "all", part: null });
  for (const other of ["", "?key=D4", "?sounds=loud", "?sounds=", "?sounds=own"]) assert.equal(practiceOf(other), null);
});
