"""The evaluator: plain data in, yes or no out."""

import json
from pathlib import Path

import pytest

from chorus_handbook.views.evaluate import admits, meets

GOLDEN = json.loads(
    (Path(__file__).parents[1] / "cases" / "views" / "evaluator.json").read_text(encoding="utf-8")
)
RECORD = {
    name: tuple(value) if isinstance(value, list) else value
    for name, value in GOLDEN["record"].items()
}
IMPACT = {"field": "impact", "test": "one-of", "values": [2]}
TUNING = {"field": "goals", "test": "one-of", "values": ["tuning"]}


@pytest.mark.parametrize(("condition", "expected"), GOLDEN["cases"])
def test_conditions(condition, expected):
    assert meets(RECORD, condition) is expected


@pytest.mark.parametrize(
    ("all_of", "any_of", "expected"),
    [
        ([], [], True),
        ([IMPACT], [], True),
        ([IMPACT, TUNING], [], False),
        ([], [[TUNING], [IMPACT]], True),
        ([], [[TUNING, IMPACT]], False),
        ([TUNING], [[IMPACT]], False),
    ],
)
def test_rules(all_of, any_of, expected):
    assert admits({"all": all_of, "any": any_of}, RECORD) is expected
