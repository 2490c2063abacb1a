"""The rule of the ladder, in whole numbers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.voices.rule import (
    Compass,
    Reach,
    holds_beyond_comfort,
    other_octave,
    state,
)

#: Comfortable from C4 to C5, possible from A3 to E5, hums and glides from G3 to G5.
ALTO = Compass(60, 72, 57, 76, 55, 79)


@pytest.mark.parametrize(
    ("lowest", "highest", "expected"),
    [
        (60, 72, "comfortable"),
        (59, 72, "edge"),
        (60, 73, "edge"),
        (57, 76, "edge"),
        (56, 60, "out"),
        (72, 77, "out"),
        (40, 90, "out"),
    ],
)
def test_the_furthest_notes_decide(lowest: int, highest: int, expected: str) -> None:
    assert state(Reach(lowest, highest), ALTO) == expected


def test_held_and_touched_notes_are_told_apart() -> None:
    assert not holds_beyond_comfort(Reach(60, 74, 60, 72), ALTO)
    assert holds_beyond_comfort(Reach(60, 74, 60, 73), ALTO)
    assert holds_beyond_comfort(Reach(58, 72, 59, 72), ALTO)
    assert not holds_beyond_comfort(Reach(40, 90), ALTO)


@pytest.mark.parametrize(
    ("reach", "octaves"), [(Reach(74, 80), -1), (Reach(50, 55), 1), (Reach(50, 80), 0)]
)
def test_another_octave_is_offered_where_it_helps(reach: Reach, octaves: int) -> None:
    assert other_octave(reach, ALTO) == octaves


@given(st.integers(0, 127), st.integers(0, 24), st.integers(-24, 24), st.integers(-24, 24))
def test_moving_twice_is_moving_once(low: int, span: int, first: int, second: int) -> None:
    reach = Reach(low, low + span, low, low + span)
    assert reach.moved(first).moved(second) == reach.moved(first + second)
    assert Reach(low, low + span).moved(first).held_highest is None
