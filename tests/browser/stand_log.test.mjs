// What was sung, as lines of a warm-up's own fields.
import assert from "node:assert/strict";
import test from "node:test";

import { lines, readStored } from "../../build_tools/chorus_handbook/browser/stand_log.js";

const ITEM = { exercise: "slipway", sung: "yes", top: "Eb4", remark: ' Too "high": rest. ' };

test("only what was said is written, and a note is quoted", () => {
  const skipped = { exercise: "eddies", sung: "skipped", top: "", remark: "" };
  assert.equal(
    lines("2026-11-12-fog", "Tidewater Chorus", [ITEM, skipped]),
    [
      "warm_up: 2026-11-12-fog",
      'chorus: "Tidewater Chorus"',
      "items:",
      "  - exercise: slipway",
      "    sung: yes",
      "    top: Eb4",
      '    remark: "Too \\"high\\": rest."',
      "  - exercise: eddies",
      "    sung: skipped",
      "",
    ].join("\n"),
  );
});

test("what anybody may have stored is read or is nothing", () => {
  assert.deepEqual(readStored({ items: [ITEM] }), { items: [ITEM], state: "" });
  assert.deepEqual(readStored({ items: [ITEM], state: "saved" }), { items: [ITEM], state: "saved" });
  assert.equal(readStored({ items: [ITEM], state: 1 })?.state, "");
  for (const items of [null, "x", [null], [{ exercise: 1 }], [{ ...ITEM, top: 4 }]]) {
    assert.equal(readStored({ items }), null);
  }
});
