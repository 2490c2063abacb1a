// The shapes in a path of a compacted drawing.
import assert from "node:assert/strict";
import test from "node:test";

import { moved, shapes } from "../../build_tools/chorus_handbook/browser/drawn_paths.js";

const boxes = (drawn) => shapes(drawn).map(({ box }) => box);

test("each shape has its own box: lines, areas, curves", () => {
  assert.deepEqual(boxes("M866 450h7360M5828 450v720"), [[866, 450, 8226, 450], [5828, 450, 5828, 1170]]);
  assert.deepEqual(boxes("M3279 1685h2968v22h-2968z"), [[3279, 1685, 6247, 1707]]);
  assert.deepEqual(boxes("M3546 450L4014 405L4014 495L3546 540z"), [[3546, 405, 4014, 540]]);
  assert.deepEqual(boxes("M10 50C20 -30 40 -30 50 50"), [[10, -30, 50, 50]]);
});

test("an ellipse is a shape around its middle", () => {
  assert.deepEqual(boxes("M10 50a20 8 0 1 1 40 0a20 8 0 1 1 -40 0z"), [[10, 42, 50, 58]]);
});

test("shapes move by themselves; what spans the cut is stretched", () => {
  const drawn = "M0 10h50M0 10v90M-5 60C1 70 2 80 3 90";
  const to = (y) => (y >= 50 ? y + 30 : y);
  assert.equal(moved(shapes(drawn), () => to), "M0 10h50M0 10v120M-5 90C1 100 2 110 3 120");
  assert.equal(moved(shapes("M1 60a2 3 0 1 1 4 0a2 3 0 1 1 -4 0z"), () => to), "M1 90a2 3 0 1 1 4 0 a2 3 0 1 1 -4 0z".replace("0 a", "0a"));
});

test("a path that moves nowhere is the same path", () => {
  const drawn = "M3546 450L4014 405L4014 495L3546 540zM3279.5 1685h2968v22h-2968z";
  assert.equal(moved(shapes(drawn), () => (y) => y), drawn);
});

test("what is no path of ours is refused", () => {
  assert.throws(() => shapes("h20"));
});
