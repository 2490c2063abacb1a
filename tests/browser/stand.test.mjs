// The keys of an item on the music stand, and the place from which the leader goes on.
import assert from "node:assert/strict";
import test from "node:test";

import { highest, whichKey } from "../../build_tools/chorus_handbook/browser/stand_keys.js";
import { goOnFrom, readPlace } from "../../build_tools/chorus_handbook/browser/stand_place.js";

/** Keys with these tonics as MIDI numbers. @param {number[]} tonics */
const keys = (...tonics) => tonics.map((midi) => ({ tonic: String(midi), midi, name: "", starts: "", notes: [] }));

test("the highest key is not the last one where keys go down, or up and back", () => {
  const [down, back] = [keys(63, 62, 61, 60), keys(60, 61, 62, 61, 60)];
  assert.deepEqual([0, 1, 3].map((place) => highest(down, place).midi), [63, 63, 63]);
  assert.deepEqual([0, 1, 2, 4].map((place) => highest(back, place).midi), [60, 61, 62, 62]);
});

test("a key says where it leads", () => {
  const back = keys(60, 61, 60);
  assert.equal(whichKey(back, 0), "key 1 of 3, going up");
  assert.equal(whichKey(back, 1), "key 2 of 3, going down");
  assert.equal(whichKey(back, 2), "key 3 of 3, the last");
  assert.equal(whichKey(keys(60), 0), "");
});

const MINUTE = 60_000;
const EVENING = new Date(2026, 10, 12, 19, 30).getTime();
const PLACE = { began: EVENING, place: 1, step: 2, keys: [0, 3, 0] };
const COUNTS = [0, 4, 0];

test("the leader goes on from the same place on the same day, and the time runs on", () => {
  assert.deepEqual(goOnFrom(PLACE, COUNTS, 15, EVENING + 5 * MINUTE), PLACE);
  assert.equal(goOnFrom(PLACE, COUNTS, 15, EVENING + 24 * 60 * MINUTE), null);
  const later = EVENING + 15 * MINUTE;
  assert.deepEqual(goOnFrom(PLACE, COUNTS, 15, later), { ...PLACE, began: later });
});

test("a place that does not fit the items counts for nothing", () => {
  for (const counts of [[0, 4], [0, 3, 0], [0, 4, 0, 0]]) assert.equal(goOnFrom(PLACE, counts, 15, EVENING), null);
  assert.equal(goOnFrom({ ...PLACE, place: 3 }, COUNTS, 15, EVENING), null);
  assert.equal(goOnFrom(null, COUNTS, 15, EVENING), null);
});

test("whatever is stored is a place or nothing", () => {
  assert.deepEqual(readPlace({ ...PLACE, version: 1 }), PLACE);
  for (const wrong of [{ place: -1 }, { step: "1" }, { keys: null }, { keys: [0.5] }, { began: "today" }]) {
    assert.equal(readPlace({ ...PLACE, ...wrong }), null);
  }
});
