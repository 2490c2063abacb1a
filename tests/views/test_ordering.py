"""The order of exercises in a view."""

import json
from pathlib import Path

import pytest

from chorus_handbook.views.evaluate import sort_key

GOLDEN = json.loads(
    (Path(__file__).parents[1] / "cases" / "views" / "ordering.json").read_text(encoding="utf-8")
)
RANKS = {"moment": {"opening": 0, "middle": 1, "closing": 2}}


def record(slug, title="T", **more):
    return {"slug": slug, "title": title, "impact": None, "moment": None, "keys": None} | more


def in_order(records, *order):
    return [slug for *_, slug in sorted(sort_key(r, order, RANKS) for r in records)]


@pytest.mark.parametrize("case", GOLDEN, ids=lambda case: case["about"])
def test_golden_orders(case):
    """The browser is held against the same cases (`browser/conditions.test.mjs`)."""
    keys = [sort_key(row, case["order"], case["places"]) for row in case["rows"]]
    assert [slug for *_, slug in sorted(keys)] == case["expected"]


def test_title_then_slug_without_regard_to_case():
    records = [record("b", "beta"), record("c", "Alpha"), record("a", "beta")]
    assert in_order(records) == ["c", "a", "b"]


def test_fields_count_one_after_the_other_and_unstated_comes_last():
    records = [
        record("none"),
        record("late", impact=2, moment="closing"),
        record("early", impact=2, moment="opening"),
        record("light", impact=1, moment="closing"),
        record("unset", impact=2),
    ]
    assert in_order(records, "impact", "moment") == ["light", "early", "late", "unset", "none"]


def test_words_without_an_order_of_their_own_go_by_the_alphabet():
    records = [record("x", keys="d4"), record("y", keys="C4"), record("z", moment="odd")]
    assert in_order(records, "keys") == ["y", "x", "z"]
