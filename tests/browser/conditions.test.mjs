// The conditions and the order of views against the golden cases, which `views/test_evaluate.py` and
// `views/test_ordering.py` read too.
import assert from "node:assert/strict";
import test from "node:test";

import { admits, inOrder, meets } from "../../build_tools/chorus_handbook/browser/conditions.js";
import { cases } from "./cases.mjs";

const [{ record, cases: golden }, ordering] = cases("views");

test("there are enough cases", () => assert.ok(golden.length >= 20 && ordering.length >= 4));

for (const [condition, expected] of golden) {
  test(JSON.stringify(condition), () => assert.equal(meets(record, condition), expected));
}

for (const { about, rows, order, places, expected } of ordering) {
  test(about, () => assert.deepEqual(inOrder(rows, order, places).map(({ slug }) => slug), expected));
}

test("all conditions must hold, and all of one group at least", () => {
  const impact = { field: "impact", test: "one-of", values: [2] };
  const tuning = { field: "goals", test: "one-of", values: ["tuning"] };
  const rules = [[[], []], [[impact], []], [[impact, tuning], []], [[], [[tuning], [impact]]], [[], [[tuning, impact]]]];
  const found = rules.map(([all, any]) => admits({ all, any }, record));
  assert.deepEqual(found, [true, true, false, true, false]);
});

test("a field is what the row itself has", () => {
  const condition = { field: "constructor", test: "stated", values: [] };
  assert.equal(meets({}, condition), false);
});
