"""What the page "Find an exercise" finds, counts and writes, on the demo: for drawn choices, the
browser finds what a view of views.yml finds that is made from the lines it offers to paste."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import chorus_handbook
from checked import Checked
from chorus_handbook.pages.facets import Facet, address_of, facets_of
from chorus_handbook.pages.find import ORDERS
from chorus_handbook.pages.index_file import labels
from chorus_handbook.views.evaluate import Row, admits, meets, sort_key
from chorus_handbook.views.saved import PlacedView, read_saved

SCRIPTS = Path(chorus_handbook.__file__).parent / "browser"
Evaluate = Callable[[str, str, object], Any]
NARROW = """async ({Narrowing, readAddress, writeAddress}, data) => {
    const {index, facets, cases, taken, orders, lines} = data;
    const {viewLines} = await import(lines);
    const places = Object.fromEntries(Object.entries(index.words).map(([field, words]) =>
        [field, Object.fromEntries(Object.keys(words).map((word, place) => [word, place]))]));
    return cases.map(({asked: fields, order}) => {
        const narrowing = new Narrowing(index.exercises, facets);
        for (const facet of facets) narrowing.choose(facet, []);
        for (const facet of facets) narrowing.choose(facet, fields[facet.field] ?? []);
        const asked = narrowing.asked;
        const address = writeAddress(asked, order, orders);
        const again = readAddress(address, facets, orders);
        return {
            found: narrowing.found(order === "title" ? [] : order.split(","), places)
                .map(({slug}) => slug),
            counts: facets.map(facet => narrowing.counts(facet)),
            leaveOut: narrowing.toLeaveOut(),
            lines: viewLines(facets, asked, order, taken),
            address,
            again: [again.unknown, again.order, Object.fromEntries(again.asked)],
        };
    });
}"""


def facets_in(demo: Checked) -> list[Facet]:
    chorus, vocabulary = demo.config.chorus, demo.config.vocabulary
    assert chorus and vocabulary
    words = labels(chorus, vocabulary)
    found = facets_of(demo.views.rows.values(), words, vocabulary, has_log=True)
    return [facet for facet in found if facet.in_views]


def condition_of(facet: Facet, values: list[str]) -> Any:
    """By the words of `facets.py`, not by the browser's."""
    items = [choice.item for choice in facet.choices if choice.value in values]
    if facet.kind == "most":
        return {"field": facet.field, "test": "between", "values": [None, items[0]]}
    return {"field": facet.field, "test": "one-of", "values": items}


def drawn(facets: list[Facet], count: int) -> list[dict[str, Any]]:
    """Choices in one to five facets, mostly of values that many exercises have."""
    dice = random.Random(19)
    made = []
    for _ in range(count):
        asked = {}
        for facet in dice.sample(facets, dice.randint(1, 5)):
            most = 1 if facet.kind == "most" else dice.randint(1, 5)
            values = [choice.value for choice in facet.choices]
            asked[facet.field] = dice.sample(values, min(most, len(values)))
        made.append({"asked": asked, "order": dice.choice([*ORDERS])})
    return made


def view_from(lines: str, root: Path, demo: Checked) -> PlacedView:
    (root / "views.yml").write_text(lines, encoding="utf-8")
    (placed,), problems = read_saved(root, demo.entries, demo.config)
    assert problems == []
    return placed


def test_a_view_of_the_lines_to_paste_has_the_exercises_that_were_found(
    evaluate: Evaluate, demo: Checked, demo_site: Path, tmp_path: Path
) -> None:
    assert demo.config.chorus and demo.config.vocabulary
    facets = facets_in(demo)
    by_field = {facet.field: facet for facet in facets}
    rows: dict[str, Row] = {**demo.views.rows}
    words = labels(demo.config.chorus, demo.config.vocabulary)
    places = {name: {str(w): n for n, w in enumerate(known)} for name, known in words.items()}
    cases = drawn(facets, 40)
    results = evaluate(
        "narrowing.js",
        NARROW,
        {
            "index": json.loads((demo_site / "assets/handbook/index.json").read_text("utf-8")),
            "facets": [{**asdict(facet), "inViews": True} for facet in facets],
            "cases": cases,
            "taken": {
                "slugs": ["index", *(view.slug for view in demo.views.saved)],
                "titles": [view.title for view in demo.views.saved],
            },
            "orders": [*ORDERS],
            "lines": (SCRIPTS / "view_lines.js").as_uri(),
        },
    )
    sizes = set()
    for case, result in zip(cases, results, strict=True):
        asked = case["asked"]
        conditions = {name: condition_of(by_field[name], v) for name, v in asked.items()}
        placed = view_from(result["lines"], tmp_path, demo)
        order = placed.view.order
        members = [row for row in rows.values() if admits(placed.rule, row)]
        keys = sorted(sort_key(row, order, places) for row in members)
        assert [slug for *_, slug in keys] == result["found"], result["lines"]
        assert all(meets(row, c) for row in members for c in conditions.values())
        assert order == ([] if case["order"] == "title" else case["order"].split(","))
        # the address says the same, readably
        assert result["again"] == [[], case["order"], asked]
        assert "%" not in result["address"]
        # what each choice would find beside the other facets
        for facet, counts in zip(facets, result["counts"], strict=True):
            others = [c for name, c in conditions.items() if name != facet.field]
            left = [row for row in rows.values() if all(meets(row, c) for c in others)]
            wanted = [
                sum(meets(row, condition_of(facet, [choice.value])) for row in left)
                for choice in facet.choices
            ]
            assert counts == wanted, facet.field
        for way in result["leaveOut"]:
            others = [c for name, c in conditions.items() if name not in way["fields"]]
            assert way["count"] == sum(all(meets(row, c) for c in others) for row in rows.values())
        sizes.add(len(members))
    assert 0 in sizes and len(sizes) > 10


def test_what_cannot_be_read_in_an_address_is_left_out_and_named(
    evaluate: Evaluate, demo: Checked
) -> None:
    queries = {
        "": ([], {}),
        "?goals=tuning,blend&order=title": ([], {"goals": ["tuning", "blend"]}),
        "?goals=tuning&goals=blend,tuning": ([], {"goals": ["tuning", "blend"]}),
        "?minutes=at+most+3": ([], {"minutes": ["at most 3"]}),
        "?minutes=at most 2,at most 3": ([], {"minutes": ["at most 3"]}),
        "?goals=nonsense,blend": (["goals: nonsense"], {"goals": ["blend"]}),
        "?impact=9&level=": (["impact: 9", "level: "], {}),
        "?__proto__=1&constructor=blend": (["__proto__: 1", "constructor: blend"], {}),
        "?goals=%3Cb%3E&order=slug": (["goals: <b>", "order: slug"], {}),
        "?goals=%E0%A4%A": (["goals: \ufffd%A"], {}),
    }
    found = evaluate(
        "narrowing.js",
        """({readAddress}, {queries, facets}) => queries.map(query => {
            const {asked, unknown} = readAddress(query, facets, ["impact,level", "title"]);
            return [unknown, Object.fromEntries(asked)];
        })""",
        {"queries": [*queries], "facets": [asdict(facet) for facet in facets_in(demo)]},
    )
    assert [tuple(one) for one in found] == [*queries.values()]


def test_what_a_list_asks_is_carried_over_as_far_as_it_can_be_said(demo: Checked) -> None:
    """A facet that is carried finds what its condition finds."""
    facets = facets_in(demo)
    by_field = {facet.field: facet for facet in facets}
    carried = 0
    for view in demo.views.saved:
        query = address_of(view.rule, facets)
        assert query == "" or query.startswith("?")
        for part in filter(None, query.removeprefix("?").split("&")):
            name, _, text = part.partition("=")
            condition = condition_of(by_field[name], text.replace("+", " ").split(","))
            (written,) = (c for c in view.rule["all"] if c["field"] == name)
            for row in demo.views.rows.values():
                assert meets(row, condition) == meets(row, written), (view.slug, name)
            carried += 1
    assert carried > 40
    openers = next(view for view in demo.views.saved if view.slug == "low-impact-openers")
    assert address_of(openers.rule, facets) == "?moment=opening&impact=1,2"


def test_what_is_not_known_is_named_or_counted(evaluate: Evaluate) -> None:
    say = "({ leftOut }, data) => data.map(leftOut)"
    none, five, seven = evaluate("left_out.js", say, [[], [*"abcde"], [*"abcdefg"]])
    assert none == "" and five.endswith("“d”, “e”")
    assert seven.endswith("“d”, “e”, and 2 more")
