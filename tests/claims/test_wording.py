"""Measured things in words."""

from fractions import Fraction

import pytest

from chorus_handbook.claims import wording
from chorus_handbook.music.score import Meter
from chorus_handbook.pitch import Pitch


@pytest.mark.parametrize(
    ("length", "meter", "words"),
    [
        (4, Meter(), "4 beats"),
        (1, Meter(), "1 beat"),
        (0, Meter(), "0 beats"),
        (Fraction(1, 2), Meter(), "1/2 beat"),
        (Fraction(7, 3), Meter(), "2 1/3 beats"),
        (3, Meter(6, 8), "2 beats"),
        (3, Meter(3, 2), "1 1/2 beats"),
    ],
)
def test_beats(length, meter, words):
    assert wording.beats(Fraction(length), meter) == words


@pytest.mark.parametrize(
    ("length", "words"),
    [(0.0, "0 s"), (44.1, "45 s"), (60.0, "1 min"), (119.5, "2 min"), (200.0, "3 min 20 s")],
)
def test_seconds(length, words):
    assert wording.seconds(length) == words


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("P5", "a fifth"),
        ("P8", "an octave"),
        ("A4", "an augmented fourth"),
        ("P1", "a unison"),
        ("M10", "a major tenth"),
        ("P11", "an eleventh"),
    ],
)
def test_intervals(name, words):
    assert wording.interval(name) == words


def test_span_keeps_the_spelling():
    assert wording.span(Pitch.parse("C4"), Pitch.parse("Gb4")) == "a diminished fifth"
    assert wording.interval_of(6) == "an augmented fourth"


def test_lists():
    assert wording.listed(["alto"]) == "alto"
    assert wording.listed(["soprano", "alto", "bass"]) == "soprano, alto and bass"
    assert wording.counted(1, "note") == "1 note"
    assert wording.verb(["alto", "bass"], "has", "have") == "have"
