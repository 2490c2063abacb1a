"""The rule of the ladder in the browser against the one in Python: thousands of drawn cases, and
every exercise of the demo for every voice. They must agree exactly. The golden cases that both
rules read are in `ladder.test.mjs` and `voices/test_rule_cases.py`."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from checked import Checked
from chorus_handbook.voices.ladder_data import chorus_as_data
from chorus_handbook.voices.rule import (
    Compass,
    Reach,
    holds_beyond_comfort,
    other_octave,
    state,
)

Evaluate = Callable[[str, str, object], Any]
CASES = Path(__file__).parent.parent / "cases"
RULE = """(rule, cases) => cases.map(({reach, compass, semitones}) => {
        const there = semitones ? rule.moved(reach, semitones) : reach;
        return [rule.state(there, compass), rule.holdsBeyondComfort(there, compass),
            rule.otherOctave(there, compass), there];
    })"""


def cases(topic: str) -> list[dict[str, Any]]:
    files = sorted((CASES / topic).glob("*.json"))
    return [case for file in files for case in json.loads(file.read_text("utf-8"))]


def drawn(count: int) -> list[tuple[Reach, Compass, int]]:
    """Reaches and ranges near one another, so that every state comes up often; now and then a
    reach that holds nothing, or on one side only."""
    dice = random.Random(4)
    made = []
    for _ in range(count):
        low, span = dice.randint(30, 80), dice.randint(0, 30)
        held = sorted((dice.randint(low, low + span), dice.randint(low, low + span)))
        ends: list[int | None] = [end if dice.random() < 0.8 else None for end in held]
        lowest, width = low + dice.randint(-12, 12), dice.randint(1, 36)
        inner = sorted((dice.randint(0, width), dice.randint(0, width)))
        compass = Compass(
            *(lowest + inner[0], lowest + inner[1], lowest, lowest + width),
            *(lowest - dice.randint(0, 5), lowest + width + dice.randint(0, 5)),
        )
        glided = sorted(dice.randint(low - 8, low + span + 8) for _ in range(2))
        over = glided if dice.random() < 0.5 else (None, None)
        reach = Reach(low, low + span, ends[0], ends[1], *over, dice.random() < 0.3)
        made.append((reach, compass, dice.randint(-12, 12)))
    return made


def test_the_browser_agrees_with_python_on_thousands_of_drawn_cases(evaluate: Evaluate) -> None:
    made = drawn(6000)
    given = [
        {"reach": asdict(reach), "compass": asdict(compass), "semitones": semitones}
        for reach, compass, semitones in made
    ]
    seen = set()
    for (reach, compass, semitones), found in zip(
        made, evaluate("ladder.js", RULE, given), strict=True
    ):
        there = reach.moved(semitones) if semitones else reach
        expected = [
            state(there, compass),
            holds_beyond_comfort(there, compass),
            other_octave(there, compass),
        ]
        assert found == [*expected, asdict(there)], (reach, compass, semitones)
        seen.add(tuple(expected))
    assert len(seen) >= 12  # nearly every combination there can be


def test_every_demo_ladder_comes_to_the_same_in_the_browser(
    evaluate: Evaluate, demo: Checked, demo_site: Path
) -> None:
    """The data that pages carry are enough to find every state again."""
    index = json.loads((demo_site / "assets/handbook/index.json").read_text("utf-8"))
    assert demo.config.chorus
    assert index["voices"] == chorus_as_data(demo.config.chorus)
    found = evaluate(
        "ladder.js",
        """({computeSteps}, {voices, exercises}) =>
            exercises.filter(e => e.ladder).map(({slug, ladder}) => [slug, ladder.keys.map(
                (key, n) => [key, Object.keys(voices).flatMap(name => {
                    const step = computeSteps(ladder, name, voices[name].compass)?.[n];
                    return step ? [[name, step.state, step.sustainsOutside, step.octaves]] : [];
                })])])""",
        index,
    )
    expected = [
        [
            slug,
            [
                [
                    str(rung.tonic),
                    [
                        [name, step.state, step.sustains_outside, step.octaves]
                        for name, step in rung.voices.items()
                    ],
                ]
                for rung in ladder.rungs
            ],
        ]
        for slug, ladder in sorted(demo.ladders.items())
        if ladder.rungs
    ]
    assert len(expected) > 30
    assert sorted(found) == expected


def test_what_an_own_range_means_as_its_cases_have_it(evaluate: Evaluate, demo_site: Path) -> None:
    """Two semitones inside: common practice."""
    golden = cases("own_range")
    found = evaluate(
        "own_range_compass.js",
        "({singerOf}, {ranges, voices}) => ranges.map(range => singerOf(range, voices))",
        {
            "ranges": [case["range"] for case in golden],
            "voices": json.loads((demo_site / "assets/handbook/index.json").read_text("utf-8"))[
                "voices"
            ],
        },
    )
    for case, singer in zip(golden, found, strict=True):
        if case["expected"] == "problem":
            assert singer and set(singer) == {"problem"}, case["about"]
        else:
            assert singer == case["expected"], case["about"]


def test_notes_are_named_as_everywhere_else(evaluate: Evaluate) -> None:
    from chorus_handbook.pages.words import note
    from chorus_handbook.pitch import named

    found = evaluate(
        "own_range_compass.js", "({noteName}, all) => all.map(noteName)", [*range(128)]
    )
    assert found == [note(named(midi)) for midi in range(128)]
