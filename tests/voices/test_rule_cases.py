"""The rule of the ladder against its golden cases, which the browser's rule is held against too
(tests/browser/test_ladder_rule.py)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.voices.rule import (
    Compass,
    Reach,
    holds_beyond_comfort,
    other_octave,
    state,
)

CASES = Path(__file__).parent.parent / "cases" / "ladder_rule"
ALL: list[dict[str, Any]] = [
    case for file in sorted(CASES.glob("*.json")) for case in json.loads(file.read_text("utf-8"))
]


@pytest.mark.parametrize("case", ALL, ids=[case["about"] for case in ALL])
def test_the_rule_as_its_cases_have_it(case: dict[str, Any]) -> None:
    reach = Reach(**case["reach"])
    if case["semitones"]:
        reach = reach.moved(case["semitones"])
    compass = Compass(**case["compass"])
    found = (state(reach, compass), holds_beyond_comfort(reach, compass))
    assert found == (case["state"], case["holds_beyond_comfort"])
    assert other_octave(reach, compass) == case["other_octave"]
