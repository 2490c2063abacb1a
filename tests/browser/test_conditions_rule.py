"""The conditions of views in the browser against those in Python, on drawn rows and rules: they
must agree exactly, in what they admit and in its order. The golden cases that both read are in
`conditions.test.mjs`, `views/test_evaluate.py` and `views/test_ordering.py`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from chorus_handbook.views.evaluate import Row, Rule, admits, sort_key
from chorus_handbook.views.fields import FIELDS

Evaluate = Callable[[str, str, object], Any]
RULE = """({admits, inOrder}, cases) => cases.map(({rows, rule, order, places}) =>
    inOrder(rows.filter(row => admits(rule, row)), order, places).map(row => row.slug))"""

#: Few of each, so that they meet often.
WORDS = ("hum", "ng", "straw", "circle")
PLACES = {word: place for place, word in enumerate(WORDS)}
KINDS = {
    "number": st.integers(-2, 3).map(lambda n: n * 1000),
    "word": st.sampled_from(WORDS),
    "words": st.lists(st.sampled_from(WORDS), min_size=1, max_size=3).map(tuple),
    "yes-no": st.booleans(),
}
#: Some fields of each kind. A title is drawn for itself.
NAMES = [
    *("impact", "minutes", "parts", "sounding", "formation", "moment", "goals", "voices_sing"),
    *("round", "notated"),
]
TITLES = st.text(st.characters(codec="utf-8"), min_size=1, max_size=4)


@st.composite
def rows(draw: st.DrawFn) -> list[dict[str, Any]]:
    made = []
    for number in range(draw(st.integers(1, 8))):
        row: dict[str, Any] = {"slug": f"e{number}", "title": draw(TITLES)}
        for name in NAMES:
            row[name] = draw(st.none() | KINDS[FIELDS[name].kind])
        made.append(row)
    # index.json lists exercises in this order
    return sorted(made, key=lambda row: (row["title"].casefold(), row["slug"]))


@st.composite
def conditions(draw: st.DrawFn) -> dict[str, Any]:
    name = draw(st.sampled_from(NAMES))
    kind = FIELDS[name].kind
    test = draw(st.sampled_from(["one-of", "none-of", "stated", "not-stated", "between"]))
    if test == "between" and kind == "number":
        bounds = [draw(st.none() | KINDS["number"]) for _ in range(2)]
        return {"field": name, "test": test, "values": bounds}
    if test in ("stated", "not-stated"):
        return {"field": name, "test": test, "values": []}
    one = st.sampled_from(WORDS) if kind in ("word", "words") else KINDS[kind]
    values = draw(st.lists(one, min_size=1, max_size=3))
    return {"field": name, "test": "none-of" if test == "none-of" else "one-of", "values": values}


SORTED = [name for name in NAMES if FIELDS[name].kind != "words"]
CASES = st.fixed_dictionaries(
    {
        "rows": rows(),
        "rule": st.fixed_dictionaries(
            {
                "all": st.lists(conditions(), max_size=3),
                "any": st.lists(st.lists(conditions(), min_size=1, max_size=2), max_size=2),
            }
        ),
        "order": st.lists(st.sampled_from(SORTED), max_size=3, unique=True),
    }
)


def expected(case: dict[str, Any]) -> list[str]:
    ranks = dict.fromkeys(("sounding", "formation", "moment"), PLACES)
    rule: Rule = case["rule"]
    members: list[Row] = [row for row in case["rows"] if admits(rule, row)]
    return [slug for *_, slug in sorted(sort_key(row, case["order"], ranks) for row in members)]


def test_the_browser_agrees_with_python_on_drawn_rules(evaluate: Evaluate) -> None:
    drawn: list[dict[str, Any]] = []

    @settings(max_examples=10 * settings.default.max_examples)
    @given(CASES)
    def draw(case: dict[str, Any]) -> None:
        places = dict.fromkeys(("sounding", "formation", "moment"), PLACES)
        drawn.append({**case, "places": places})

    draw()
    found = evaluate("conditions.js", RULE, drawn)
    outcomes = [expected(case) for case in drawn]
    assert found == outcomes
    sizes = [
        len(outcome) / len(case["rows"]) for outcome, case in zip(outcomes, drawn, strict=True)
    ]
    assert sizes.count(0) > 20 and sizes.count(1) > 20
    assert sum(0 < size < 1 for size in sizes) > 50
