"""Dynamics as levels."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import log10

import pytest

from chorus_handbook.music.score import DYNAMICS, Dynamic
from chorus_handbook.sound.levels import LEVELS, PLAIN, Levels


def test_each_sign_is_louder_than_the_one_before() -> None:
    levels = [LEVELS[sign] for sign in DYNAMICS]
    assert levels == sorted(set(levels)) and levels[-1] == 1.0 and levels[0] > 0


def test_a_sign_holds_from_its_moment_on() -> None:
    levels = Levels([Dynamic(Fraction(1), "p"), Dynamic(Fraction(3), "f")])
    found = [levels.at(Fraction(n)) for n in range(5)]
    assert found == [PLAIN, LEVELS["p"], LEVELS["p"], LEVELS["f"], LEVELS["f"]]


def test_signs_lie_three_decibels_apart() -> None:
    steps = [20 * log10(b / a) for a, b in pairwise(LEVELS[sign] for sign in DYNAMICS)]
    assert steps == pytest.approx([3.0] * 5, abs=0.03)


def test_a_hairpin_moves_evenly_in_decibels_to_the_sign_at_its_end() -> None:
    levels = Levels(
        [
            Dynamic(Fraction(0), "pp"),
            Dynamic(Fraction(0), "<", Fraction(4)),
            Dynamic(Fraction(4), "ff"),
        ]
    )
    assert [levels.at(Fraction(n)) for n in (0, 1, 2, 4)] == [0.178, 0.274, 0.422, 1.0]


@pytest.mark.parametrize(("sign", "level"), [("<", LEVELS["f"]), (">", LEVELS["mp"])])
def test_a_hairpin_to_nowhere_moves_by_one_step(sign: str, level: float) -> None:
    levels = Levels([Dynamic(Fraction(0), sign, Fraction(2))])
    assert (levels.at(Fraction(0)), levels.at(Fraction(9))) == (PLAIN, level)


def test_louder_than_loudest_stays() -> None:
    levels = Levels([Dynamic(Fraction(0), "ff"), Dynamic(Fraction(0), "<", Fraction(2))])
    assert levels.at(Fraction(5)) == 1.0
