"""Level and times as stated, or else as measured."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.learning import known_minutes, level_of
from chorus_handbook.music.measure import measure
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch


def front(**more: Any) -> FrontMatter:
    fields = {
        "title": "Slack water",
        "summary": "A slope.",
        "goals": ["resonance"],
        "impact": 3,
        "sounding": "hum",
        "minutes": 3,
    }
    return FrontMatter.model_validate(fields | more)


@pytest.fixture
def lasting(score_of: Callable[..., Score]) -> Callable[[int], Facts]:
    """Facts of a tune that sounds for so many seconds."""

    def facts(seconds: int) -> Facts:
        score = score_of("all: 1 |")
        keys = (Pitch.parse("C4"),)
        return measure("case", score, tempo=60, keys=keys, passes=seconds, lead_in=0)

    return facts


def test_what_is_stated_stands(lasting: Callable[[int], Facts]) -> None:
    assert level_of(front(level=3), lasting(10)) == 3
    assert known_minutes(front(known=2), lasting(10)) == 2


def test_what_is_not_stated_is_measured(lasting: Callable[[int], Facts]) -> None:
    assert level_of(front(), lasting(10)) == 1
    # 20 seconds of talk, to the nearest quarter of a minute, at least one
    times = {seconds: known_minutes(front(), lasting(seconds)) for seconds in (1, 40, 62, 64, 74)}
    assert times == {1: 0.25, 40: 1.0, 62: 1.25, 64: 1.5, 74: 1.5}


def test_known_takes_no_longer_than_the_first_time(lasting: Callable[[int], Facts]) -> None:
    assert known_minutes(front(minutes=1), lasting(58)) == 1


def test_without_notes_nothing_is_measured() -> None:
    assert level_of(front(), None) is None
    assert known_minutes(front(minutes=2.5), None) == 2.5
