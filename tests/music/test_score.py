"""Degrees in every key and mode against music21's scales; holds against written time."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import key as oracle_key
from music21 import scale as oracle_scale

from chorus_handbook.music.keys import signature
from chorus_handbook.music.modes import MODES
from chorus_handbook.music.score import Degree, Meter, Score, Span
from chorus_handbook.pitch import Pitch

SCALES = {
    "major": oracle_scale.MajorScale,
    "minor": oracle_scale.MinorScale,
    "dorian": oracle_scale.DorianScale,
    "phrygian": oracle_scale.PhrygianScale,
    "lydian": oracle_scale.LydianScale,
    "mixolydian": oracle_scale.MixolydianScale,
}
TONICS = ["C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb", "B"]


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("tonic", TONICS)
def test_degrees_are_spelled_as_in_music21(mode: str, tonic: str) -> None:
    theirs = SCALES[mode](tonic.replace("b", "-")).getPitches(
        f"{tonic}3".replace("b", "-"), f"{tonic}5".replace("b", "-")
    )
    ours = [Degree(steps).in_key(Pitch.parse(f"{tonic}3"), mode) for steps in range(15)]
    assert [str(pitch) for pitch in ours] == [
        pitch.nameWithOctave.replace("-", "b") for pitch in theirs
    ]


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("tonic", TONICS)
def test_signatures_agree_with_music21(mode: str, tonic: str) -> None:
    theirs = oracle_key.Key(tonic.replace("b", "-"), mode).sharps
    assert signature(Pitch.parse(f"{tonic}4"), mode) == theirs


@pytest.mark.parametrize("mode", ["major", "minor"])
def test_fifteen_signatures_from_seven_flats_to_seven_sharps(mode: str) -> None:
    fifths = range(-7, 8)
    tonics = [oracle_key.KeySignature(n).asKey(mode).tonic.name.replace("-", "b") for n in fifths]
    assert [signature(Pitch.parse(f"{tonic}4"), mode) for tonic in tonics] == list(fifths)


@given(st.integers(-20, 20), st.sampled_from(sorted(MODES)), st.integers(-1, 1))
def test_an_octave_is_seven_degrees_and_twelve_semitones(steps: int, mode: str, alter: int) -> None:
    low, high = Degree(steps, alter), Degree(steps + 7, alter)
    assert high.semitones(mode) - low.semitones(mode) == 12
    assert Degree(steps).semitones(mode) + alter == low.semitones(mode)


@pytest.mark.parametrize(
    ("meter", "beat", "bar"),
    [
        (Meter(4, 4), 1, 4),
        (Meter(3, 8), Fraction(1, 2), Fraction(3, 2)),
        (Meter(6, 8), Fraction(3, 2), 3),
        (Meter(12, 8), Fraction(3, 2), 6),
        (Meter(2, 2), 2, 4),
        (Meter(6, 4), 1, 6),
        (Meter(0, 4), 1, 0),
    ],
)
def test_beats_and_bars_in_quarters(meter: Meter, beat: Fraction, bar: Fraction) -> None:
    assert (meter.beat, meter.bar) == (beat, bar)


def test_holds_count_twice_from_within() -> None:
    fermatas = (Span(Fraction(1), Fraction(1)), Span(Fraction(3), Fraction(2)))
    score = Score(Meter(), "major", Fraction(0), Fraction(6), (Fraction(0),), (), fermatas)
    sounding = [score.sounding()(Fraction(n, 2)) for n in range(13)]
    assert sounding == [0, Fraction(1, 2), 1, 2, 3, 3.5, 4, 5, 6, 7, 8, 8.5, 9]
