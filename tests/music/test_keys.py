"""How the keys of a path are spelled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.music.keys import signature, spell_keys
from chorus_handbook.music.modes import MODES, ModeName
from chorus_handbook.music.score import Degree, Meter, Note, Part, Score
from chorus_handbook.pitch import Pitch

Reader = Callable[..., Score]


def keys(score: Score, path: str) -> str:
    return " ".join(map(str, spell_keys(score, KeyPath.parse(path))))


@pytest.fixture
def slope(score_of: Reader) -> Score:
    return score_of("all: 1 3 5 3 | 1 - - - |")


@pytest.mark.parametrize(
    ("path", "spelled"),
    [
        ("C4", "C4"),
        ("C4 up to C5", "C4 Db4 D4 Eb4 E4 F4 Gb4 G4 Ab4 A4 Bb4 B4 C5"),
        ("C5 down to A4", "C5 B4 Bb4 A4"),
        ("Bb3 up to D4 and back", "Bb3 B3 C4 Db4 D4 Db4 C4 B3 Bb3"),
        ("C4 up to E4 by whole tones", "C4 D4 E4"),
        # the author's own names, where their signature has at most six accidentals
        ("F#4 up to G4", "F#4 G4"),
        ("Gb4 up to G4", "Gb4 G4"),
        ("E4 up to F#4 and back", "E4 F4 F#4 F4 E4"),
        # and where it has more
        ("C#4 up to D4", "Db4 D4"),
        ("G#3 up to A#3", "Ab3 A3 Bb3"),
        ("Cb4 up to C4", "B3 C4"),
        ("B#3 up to C#4", "C4 Db4"),
        ("Fb4", "E4"),
    ],
)
def test_major_keys(slope: Score, path: str, spelled: str) -> None:
    assert keys(slope, path) == spelled


@pytest.mark.parametrize(
    ("mode", "spelled"),
    [
        ("minor", "C4 C#4 D4 Eb4 E4 F4 F#4 G4 G#4 A4 Bb4 B4 C5"),
        ("dorian", "C4 C#4 D4 Eb4 E4 F4 F#4 G4 Ab4 A4 Bb4 B4 C5"),
        ("phrygian", "C4 C#4 D4 D#4 E4 F4 F#4 G4 G#4 A4 Bb4 B4 C5"),
        ("lydian", "C4 Db4 D4 Eb4 E4 F4 Gb4 G4 Ab4 A4 Bb4 Cb5 C5"),
        ("mixolydian", "C4 Db4 D4 Eb4 E4 F4 F#4 G4 Ab4 A4 Bb4 B4 C5"),
    ],
)
def test_keys_of_other_modes(score_of: Reader, mode: str, spelled: str) -> None:
    assert keys(score_of(f"mode: {mode}\nall: 1 - - - |"), "C4 up to C5") == spelled


@pytest.mark.parametrize(
    ("degrees", "spelled"),
    # #4 on Gb is C natural, on F# it is B#; b7 is Fb on Gb and E on F#; b6 is Ebb on Gb, D on F#.
    [("1 #4 5 -", "Gb4"), ("1 b7 6 -", "Gb4"), ("1 b6 5 -", "F#4"), ("1 #2 3 -", "Gb4")],
)
def test_of_two_names_the_one_with_fewer_double_accidentals(
    score_of: Reader, degrees: str, spelled: str
) -> None:
    score = score_of(f"all: {degrees} |")
    assert keys(score, "F4 up to G4").split()[1] == spelled


def test_double_accidentals_decide_in_minor(score_of: Reader) -> None:
    # #7 in D# minor is C##, in Eb minor D; b5 in Eb minor is Bbb, in D# minor A.
    raised = score_of("mode: minor\nall: 1 #7, 1 - |")
    lowered = score_of("mode: minor\nall: 1 b5 1 - |")
    assert keys(raised, "D4 up to E4") == "D4 Eb4 E4"
    assert keys(lowered, "D4 up to E4") == "D4 D#4 E4"


@pytest.mark.parametrize("field", ["below", "graces"])
def test_divided_and_grace_notes_are_spelled_too(slope: Score, field: str) -> None:
    """b6 is a double flat in Gb and a plain D in F#, #4 the other way round."""
    for degree, name in ((Degree(5, -1), "F#4"), (Degree(3, 1), "Gb4")):
        (first, *others) = slope.parts[0].events
        assert isinstance(first, Note)
        notes = {
            "below": replace(first, below=(degree,)),
            "graces": replace(first, graces=(degree,)),
        }
        events = (notes[field], *others)
        parts = (replace(slope.parts[0], events=events),)
        assert keys(replace(slope, parts=parts), "F4 up to G4").split()[1] == name


@given(
    st.integers(36, 84),
    st.integers(-14, 14),
    st.sampled_from(sorted(MODES)),
    st.builds(Degree, st.integers(-7, 7), st.integers(-1, 1)),
)
def test_keys_follow_the_path_by_sound(
    start: int, distance: int, mode: ModeName, degree: Degree
) -> None:
    path = KeyPath(named(start), named(start + distance), 1, back=distance > 7)
    tonics = spell_keys(one_note(mode, degree), path)
    assert [tonic.midi - start for tonic in tonics] == list(path.semitones())
    assert all(abs(signature(tonic, mode)) <= 6 for tonic in tonics)
    assert all(abs(b.midi - a.midi) == 1 for a, b in pairwise(tonics))


def named(midi: int) -> Pitch:
    """A white key, or the sharp of one."""
    octave, rest = divmod(midi, 12)
    step = "0011233445566"[rest]
    return Pitch(int(step), int(rest in (1, 3, 6, 8, 10)), octave - 1)


def one_note(mode: ModeName, degree: Degree) -> Score:
    whole = Fraction(4)
    events = (Note("soprano-1", Fraction(0), whole, degree),)
    parts = (Part("soprano", 0, events, (), ("soprano",)),)
    return Score(Meter(), mode, Fraction(0), whole, (Fraction(0),), parts)
