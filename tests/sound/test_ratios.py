"""Just intervals, against facts of the trade: sizes in cents are computed from the ratios (1200
times the binary logarithm), the ratios of pure intervals are common practice."""

from __future__ import annotations

from fractions import Fraction

import pytest

from chorus_handbook.pitch import parse_interval
from chorus_handbook.sound.ratios import (
    HARMONIC_SEVENTH,
    SECOND_VALUES,
    away,
    cents,
    chord_ratio,
    scale_ratio,
)

#: Names above a fixed note, each with its ratio and its size in cents.
JUST = [
    ("P5", "3/2", 701.955),
    ("P4", "4/3", 498.045),
    ("M3", "5/4", 386.314),
    ("m3", "6/5", 315.641),
    ("M6", "5/3", 884.359),
    ("m6", "8/5", 813.686),
    ("M2", "9/8", 203.910),
    ("m2", "16/15", 111.731),
]


def of(name: str) -> Fraction:
    steps, semitones = parse_interval(name)
    return scale_ratio(steps % 7, semitones % 12)


@pytest.mark.parametrize(("name", "ratio", "size"), JUST)
def test_pure_intervals(name: str, ratio: str, size: float) -> None:
    assert of(name) == Fraction(ratio)
    assert cents(of(name)) == pytest.approx(size, abs=0.0005)


def test_sizes_that_have_no_name_here() -> None:
    assert cents(HARMONIC_SEVENTH) == pytest.approx(968.826, abs=0.0005)
    assert cents(Fraction(81, 80)) == pytest.approx(21.506, abs=0.0005)
    assert cents(SECOND_VALUES["M2"]) == pytest.approx(182.404, abs=0.0005)


@pytest.mark.parametrize(
    ("ratio", "semitones", "difference"),
    [("5/4", 4, -13.686), ("3/2", 7, 1.955), ("7/4", 10, -31.174), ("5/1", 28, -13.686)],
)
def test_differences_from_equal_temperament(ratio: str, semitones: int, difference: float) -> None:
    assert away(Fraction(ratio), semitones) == pytest.approx(difference, abs=0.0005)


SCALE = (0, 2, 4, 5, 7, 9, 11)


@pytest.mark.parametrize("step", [0, 1, 3, 4, 5])
def test_a_raised_degree_leads_up_and_a_lowered_one_down(step: int) -> None:
    """By a just semitone, 16/15: between degrees a whole tone apart."""
    upper = scale_ratio(step + 1, SCALE[step + 1])
    assert scale_ratio(step, SCALE[step] + 1) * Fraction(16, 15) == upper
    lowered = scale_ratio(step + 1, SCALE[step + 1] - 1)
    assert lowered == scale_ratio(step, SCALE[step]) * Fraction(16, 15)


@pytest.mark.parametrize(
    "name", "m2 M2 A2 d3 m3 M3 A3 d4 P4 A4 d5 P5 A5 d6 m6 M6 A6 d7 m7 M7".split()
)
def test_an_interval_and_its_inversion_make_an_octave(name: str) -> None:
    steps, semitones = parse_interval(name)
    assert of(name) * scale_ratio(7 - steps, 12 - semitones) == 2


def test_spelling_matters() -> None:
    assert of("A4") == Fraction(45, 32) != of("d5") == Fraction(64, 45)


def test_every_alteration_has_a_ratio_near_its_semitones() -> None:
    for step, natural in enumerate(SCALE):
        for alter in range(-3, 4):
            semitones = (natural + alter) % 12
            assert abs(away(scale_ratio(step, semitones), semitones)) < 45 * max(abs(alter), 1)


@pytest.mark.parametrize(
    ("chord", "ratios"),
    [
        ("P1 M3 P5", "4 5 6"),
        ("P1 m3 P5", "10 12 15"),
        ("P1 m3 d5", "5 6 7"),
        ("P1 M3 A5", "16 20 25"),
        ("P1 M3 P5 m7", "4 5 6 7"),
        ("P1 M3 P5 m7 M2", "8 10 12 14 9"),
        ("P1 m3 P5 m7", "10 12 15 18"),
        ("P1 M3 P5 M7", "8 10 12 15"),
        ("P1 m3 d5 m7", "5 6 7 9"),
        ("P1 m3 d5 d7", "10 12 14 17"),
    ],
)
def test_chords_are_the_simplest_numbers(chord: str, ratios: str) -> None:
    names = frozenset(chord.split())
    numbers = [Fraction(n) for n in ratios.split()]
    for name, number in zip(chord.split(), numbers, strict=True):
        steps, semitones = parse_interval(name)
        assert chord_ratio(steps, semitones, names) == number / numbers[0]
