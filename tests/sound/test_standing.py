"""Chords that stand."""

from __future__ import annotations

from collections.abc import Callable

from chorus_handbook.sound.standing import standing_chords
from chorus_handbook.sound.timed import Timed

Reading = Callable[..., Timed]


def spans(timed: Timed, classes: int = 2) -> list[tuple[int, int]]:
    return [(c.at // timed.ticks, c.length // timed.ticks) for c in standing_chords(timed, classes)]


def test_a_chord_stands_while_nobody_moves(timed: Reading) -> None:
    found = timed("soprano: 5 - 5 6.5 |\nalto: 3 - - - |\nbass: 1 - - - |")
    assert spans(found) == [(0, 2), (2, 1)]
    assert spans(found, 3) == [(0, 2), (2, 1)]


def test_unisons_and_octaves_are_no_chord(timed: Reading) -> None:
    assert spans(timed("all: 1 - 2 - |")) == []


def test_a_breath_does_not_shorten_a_chord(timed: Reading) -> None:
    assert spans(timed("soprano: 5 - v 6 - |\nbass: 1 - - - |")) == [(0, 2), (2, 2)]


def test_while_a_voice_glides_no_chord_stands(timed: Reading) -> None:
    assert spans(timed("soprano: 3 - -~ - | 5 - - - |\nbass: 1 - - - | - - - - |")) == [
        (0, 2),
        (4, 4),
    ]
