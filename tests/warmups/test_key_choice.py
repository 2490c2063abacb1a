"""Lower keys and fewer keys, out of those that an exercise has."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.records.planning_numbers import PlanningNumbers, VoiceReach
from chorus_handbook.warmups.key_choice import fewer, lower, row_text
from chorus_handbook.warmups.running_order import VoiceRange

C4 = 60
NAMES = "C4 Db4 D4 Eb4 E4 F4".split()
#: A scale of a fifth in six keys, for a soprano and for a bass an octave lower.
SCALE = PlanningNumbers(
    *("scale", "Scale", 3, 240, 180),
    keys=tuple(NAMES),
    tonics=tuple(range(C4, C4 + 6)),
    voices={"soprano": VoiceReach(60, 67, 60, 67), "bass": VoiceReach(48, 55, 48, 55)},
    octaves={"bass": (0, 0, 0, 0, 0, None)},
)
VOICES = {"soprano": VoiceRange("Soprano", 60, 77), "bass": VoiceRange("Bass", 41, 60)}
BOTH = ("soprano", "bass")
CASES = Path(__file__).parent.parent / "cases/key_choice/rows.json"
GOLDEN: list[dict[str, str]] = json.loads(CASES.read_text("utf-8"))


def row(text: str) -> tuple[int, ...]:
    path = KeyPath.parse(text)
    return tuple(path.start.midi + semitones for semitones in path.semitones())


@pytest.mark.parametrize("case", GOLDEN, ids=lambda case: case["keys"])
def test_fewer_and_lower_keys(case: dict[str, str]) -> None:
    """The cases that the browser's rule is held to as well (`browser/key_choice.test.mjs`): a row
    loses the key farthest from its beginning, and none is lower than the exercise goes."""
    keys = row(case["keys"])
    assert row_text(keys, SCALE) == (None if keys == SCALE.tonics else case["keys"])
    assert fewer(keys) == row(case["shorter"])
    assert lower(keys, 2, SCALE, BOTH, VOICES) == row(case["lower"])


def test_no_voice_goes_lower_than_is_comfortable_or_than_it_was() -> None:
    high = {**VOICES, "soprano": VoiceRange("Soprano", 62, 77)}
    assert lower(row("E4 up to F4"), 2, SCALE, BOTH, high) == row("D4 up to Eb4")
    assert lower(row("D4 up to F4"), 2, SCALE, BOTH, high) == row("D4 up to Eb4")
    assert lower(row("D4 up to F4"), 2, SCALE, ("bass",), high) == row("C4 up to Eb4")
    assert lower(row("C4 up to F4"), 2, SCALE, BOTH, high) == row("C4 up to Eb4")  # as low before


def test_no_voice_steps_out_in_a_lower_key() -> None:
    low = PlanningNumbers(
        *("low", "Low", 3, 240, 180),
        keys=("D4", "C4"),
        tonics=(62, 60),
        voices={"bass": VoiceReach(41, 48, 41, 48)},
        octaves={"bass": (0, None)},
    )
    assert lower((62,), 2, low, ("bass",), VOICES) == (62,)
    assert lower((62,), 2, low, ("soprano",), VOICES) == (60,)


def test_an_exercise_without_keys_stays_as_it_is() -> None:
    silent = PlanningNumbers("still", "Still", 1, 120, 120)
    assert lower((), 2, silent, BOTH, VOICES) == () and fewer(()) == ()
    assert row_text((), silent) is None
