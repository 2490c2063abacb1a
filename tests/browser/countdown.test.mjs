// The countdown of a step, by a clock that the test moves.
import assert from "node:assert/strict";
import test from "node:test";

import { Countdown, due, figures } from "../../build_tools/chorus_handbook/browser/countdown.js";

test("it waits until it is started, and goes by the clock from then on", () => {
  const countdown = new Countdown(20);
  assert.equal(countdown.seconds(5_000), 20);
  countdown.start(5_000);
  countdown.start(9_000); // a second start changes nothing
  assert.deepEqual([5_000, 5_001, 6_000, 24_999, 25_000, 99_000].map((now) => countdown.seconds(now)), [20, 20, 19, 1, 0, 0]);
});

test("a pause takes no time", () => {
  const countdown = new Countdown(20);
  countdown.start(0);
  countdown.pause(4_000);
  assert.equal(countdown.running, false);
  assert.equal(countdown.seconds(60_000), 16);
  countdown.start(60_000);
  assert.equal(countdown.seconds(61_000), 15);
});

test("figures as on a clock", () => {
  assert.deepEqual([0, 9, 60, 65, 150, 3600].map(figures), ["0:00", "0:09", "1:00", "1:05", "2:30", "60:00"]);
});

test("what is told is told once, also where looks are far apart", () => {
  const looks = [20, 11, 10, 9, 1, 0, 0];
  assert.deepEqual(looks.slice(1).map((now, place) => due(looks[place], now)), ["", "soon", "", "", "over", ""]);
  assert.equal(due(30, 4), "soon");
  assert.equal(due(30, 0), "over"); // the page slept
  assert.equal(due(8, 7), ""); // a step that begins with less is told of at its start
});
