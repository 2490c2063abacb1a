"""The chord between keys."""

from __future__ import annotations

from collections.abc import Callable

from chorus_handbook.sound.lead import lead_cents, lead_chord
from chorus_handbook.sound.timed import Timed

Reading = Callable[..., Timed]


def test_it_is_the_triad_of_the_mode(timed: Reading) -> None:
    assert lead_chord(timed("upper: 1 2 3 - |")) == (0, 4, 7)
    assert lead_chord(timed("mode: minor\nupper: 1 2 3 - |")) == (0, 3, 7)
    assert lead_chord(timed("mode: dorian\nupper: 1 2 3 - |")) == (0, 3, 7)


def test_it_lies_where_the_voices_sing(timed: Reading) -> None:
    assert lead_chord(timed("lower: 1 2 3 - |")) == (-12, -8, -5)
    assert lead_chord(timed("soprano: 1' 2' 3' - |")) == (12, 16, 19)


def test_where_nobody_sings_there_is_none(timed: Reading) -> None:
    assert lead_chord(timed("all: x x x - |")) == ()


def test_it_is_pure_when_tuning_is_just(timed: Reading) -> None:
    """4:5:6 and 10:12:15, in cents from equal temperament (computed)."""
    assert lead_cents(timed("upper: 1 2 3 - |")) == (0.0, -13.69, 1.96)
    assert lead_cents(timed("mode: minor\nupper: 1 2 3 - |")) == (0.0, 15.64, 1.96)
    assert lead_cents(timed("all: x x x - |")) == ()
