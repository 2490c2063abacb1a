"""Pitches and intervals against music21, an independent reading of the same common practice."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from music21 import interval as oracle_interval
from music21 import key as oracle_key
from music21 import pitch as oracle_pitch

from chorus_handbook.pitch import (
    LETTERS,
    Pitch,
    customary_interval,
    hertz,
    interval_between,
    interval_name,
    interval_words,
    parse_interval,
)

pitches = st.builds(Pitch, st.integers(0, 6), st.integers(-1, 1), st.integers(1, 6))

#: The 15 major keys, 7 flats to 7 sharps, by music21's names (a flat is "-").
MAJOR_KEYS = ["C-", "G-", "D-", "A-", "E-", "B-", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"]
#: Simple and compound intervals that have a name of one quality.
INTERVALS = [
    f"{quality}{number}"
    for number in range(1, 16)
    for quality in ("PAd" if number % 7 in (1, 4, 5) else "MmAd")
    if (quality, number) != ("d", 1)
]


def oracle(pitch: Pitch) -> oracle_pitch.Pitch:
    return oracle_pitch.Pitch(str(pitch).replace("b", "-"))


def name_of(pitch: oracle_pitch.Pitch) -> str:
    return pitch.nameWithOctave.replace("-", "b")


@given(pitches)
def test_midi_number_and_name_agree_with_music21(pitch: Pitch) -> None:
    assert pitch.midi == oracle(pitch).midi
    assert Pitch.parse(str(pitch)) == pitch


@pytest.mark.parametrize(
    ("name", "midi", "hertz"),
    # f = 440 * 2^((m-69)/12), A4 = 440 Hz: ISO 16:1975; the others follow from the formula.
    [
        ("A0", 21, 27.500),
        ("C2", 36, 65.406),
        ("E2", 40, 82.407),
        ("C3", 48, 130.813),
        ("C4", 60, 261.626),
        ("A4", 69, 440.0),
        ("C6", 84, 1046.502),
    ],
)
def test_midi_numbers_stand_for_these_frequencies(name: str, midi: int, hertz: float) -> None:
    assert Pitch.parse(name).midi == midi
    assert 440 * 2 ** ((Pitch.parse(name).midi - 69) / 12) == pytest.approx(hertz, abs=5e-4)
    assert oracle(Pitch.parse(name)).frequency == pytest.approx(hertz, abs=5e-4)


@pytest.mark.parametrize("text", ["", "H4", "C", "C44", "C#b4", "Cbbb4", "4C", "C 4", "C4 to G4"])
def test_what_is_no_note_name_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="cannot be read as a note"):
        Pitch.parse(text)


@pytest.mark.parametrize(
    ("text", "name"), [("bb3", "Bb3"), (" f#4 ", "F#4"), ("C-1", "C-1"), ("B##2", "B##2")]
)
def test_note_names_are_read_leniently(text: str, name: str) -> None:
    assert str(Pitch.parse(text)) == name


@given(pitches, pitches)
def test_interval_names_agree_with_music21(low: Pitch, high: Pitch) -> None:
    steps, semitones = interval_between(low, high)
    assert semitones == oracle(high).midi - oracle(low).midi
    # From C down to Cb music21 says "d1"; without direction it is the augmented unison Cb-C.
    assume(steps or semitones >= 0)
    assert interval_name(steps, semitones) == (
        oracle_interval.Interval(oracle(low), oracle(high)).name
    )


def test_a_chromatic_semitone_is_named_alike_in_both_directions() -> None:
    assert interval_name(0, 1) == interval_name(0, -1) == "A1"


@given(pitches, pitches)
def test_moving_by_the_interval_between_two_pitches_arrives(low: Pitch, high: Pitch) -> None:
    assert low.moved(*interval_between(low, high)) == high
    assert high.moved(*interval_between(high, low)) == low


@pytest.mark.parametrize("name", INTERVALS)
def test_interval_sizes_agree_with_music21(name: str) -> None:
    theirs = oracle_interval.Interval(name)
    steps, semitones = parse_interval(name)
    assert (steps, semitones) == (theirs.generic.directed - 1, round(theirs.semitones))
    assert interval_name(steps, semitones) == name
    assert interval_name(-steps, -semitones) == name


@pytest.mark.parametrize("text", ["", "P", "5", "P3", "m5", "M4", "P0", "P37", "x5", "P5 up"])
def test_what_is_no_interval_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="cannot be read as an interval"):
        parse_interval(text)


@pytest.mark.parametrize("tonic", MAJOR_KEYS)
def test_fifths_are_the_signature_of_the_major_key(tonic: str) -> None:
    assert Pitch.parse(tonic.replace("-", "b") + "4").fifths == oracle_key.Key(tonic).sharps


@pytest.mark.parametrize("tonic", MAJOR_KEYS)
@pytest.mark.parametrize("name", ["m2", "M2", "m3", "M3", "P4", "P5", "m6", "M6", "m7", "M7", "P8"])
def test_scales_move_by_named_intervals_as_in_music21(tonic: str, name: str) -> None:
    scale = oracle_key.Key(tonic).getPitches(f"{tonic}3", f"{tonic}4")
    moved = [note.transpose(oracle_interval.Interval(name)) for note in scale]
    ours = [Pitch.parse(name_of(note)).moved(*parse_interval(name)) for note in scale]
    assert [str(pitch) for pitch in ours] == [name_of(note) for note in moved]


@pytest.mark.parametrize(
    ("interval", "spelled", "sharps"),
    # C D E F G E C by named intervals: computed with music21.
    [
        ("m2", "Db Eb F Gb Ab F Db", -5),
        ("m6", "Ab Bb C Db Eb C Ab", -4),
        ("d5", "Gb Ab Bb Cb Db Bb Gb", -6),
        ("A4", "F# G# A# B C# A# F#", 6),
        ("M7", "B C# D# E F# D# B", 5),
    ],
)
def test_a_figure_is_spelled_in_the_key_it_moves_to(
    interval: str, spelled: str, sharps: int
) -> None:
    figure = [Pitch(LETTERS.index(letter), 0, 4) for letter in "CDEFGEC"]
    moved = [pitch.moved(*parse_interval(interval)) for pitch in figure]
    assert " ".join(pitch.letter for pitch in moved) == spelled
    assert moved[0].fifths == sharps


def test_sizes_have_their_customary_names() -> None:
    # Common practice: six semitones are called an augmented fourth, twelve an octave.
    assert [customary_interval(size) for size in range(13)] == (
        ["P1", "m2", "M2", "m3", "M3", "P4", "A4", "P5", "m6", "M6", "m7", "M7", "P8"]
    )
    assert customary_interval(16) == "M10"
    assert customary_interval(-7) == "P5"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("P5", "fifth"),
        ("m6", "minor sixth"),
        ("d5", "diminished fifth"),
        ("A4", "augmented fourth"),
        ("P8", "octave"),
        ("M10", "major tenth"),
        ("P15", "fifteenth"),
        ("m16", "minor 16th"),
        ("m21", "minor 21st"),
        ("P22", "22nd"),
        ("M23", "major 23rd"),
    ],
)
def test_intervals_are_told_in_words(name: str, words: str) -> None:
    assert interval_words(name) == words


@pytest.mark.parametrize(
    ("midi", "expected"),
    [
        (21, 27.5),
        (36, 65.406),
        (40, 82.407),
        (48, 130.813),
        (60, 261.626),
        (69, 440),
        (84, 1046.502),
    ],
)
def test_frequencies_are_those_of_equal_temperament(midi: int, expected: float) -> None:
    """440 * 2^((m-69)/12), computed."""
    assert hertz(midi) == pytest.approx(expected, abs=5e-4)
