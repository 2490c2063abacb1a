"""Printed accidentals against music21, which decides them by code of its own."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import key, meter, note, stream

from chorus_handbook.engraving.accidentals import Accidentals
from chorus_handbook.pitch import Pitch

PITCHES = st.builds(Pitch, st.integers(0, 6), st.integers(-2, 2), st.just(4))


def printed(fifths: int, pitches: list[Pitch]) -> list[bool]:
    """Whether each note of one bar has an accidental in front of it, by our rule."""
    state = Accidentals(fifths)
    return ['accid="' in state.attributes(pitch, tied=False) for pitch in pitches]


def by_music21(fifths: int, pitches: list[Pitch]) -> list[bool]:
    """The same by music21's makeAccidentals, without reminders. It lets an accidental hold in every
    octave, so one octave is compared."""
    bar = stream.Measure()
    bar.append([key.KeySignature(fifths), meter.TimeSignature(f"{len(pitches)}/4")])
    for pitch in pitches:
        name = str(pitch).replace("b", "-")
        bar.append(note.Note(name))
    bar.makeAccidentals(
        inPlace=True, cautionaryPitchClass=False, cautionaryNotImmediateRepeat=False
    )
    signs = [n.pitch.accidental for n in bar.notes]
    return [bool(sign and sign.displayStatus) for sign in signs]


@given(st.integers(-7, 7), st.lists(PITCHES, min_size=1, max_size=8))
def test_a_bar_shows_the_accidentals_that_music21_shows(fifths: int, pitches: list[Pitch]) -> None:
    assert printed(fifths, pitches) == by_music21(fifths, pitches)


@pytest.mark.parametrize(
    ("pitch", "expected"),
    [
        ("C4", ""),
        ("C#4", ' accid="s"'),
        ("Cb4", ' accid="f"'),
        ("C##4", ' accid="x"'),
        ("Cbb4", ' accid="ff"'),
        ("F4", ' accid="n"'),
        ("F#4", ' accid.ges="s"'),
    ],
)
def test_signs_are_those_of_mei(pitch: str, expected: str) -> None:
    assert Accidentals(1).attributes(Pitch.parse(pitch), tied=False) == expected


def test_a_tied_note_prints_none_and_leaves_none_behind() -> None:
    state = Accidentals(0)
    assert state.attributes(Pitch.parse("C#4"), tied=True) == ' accid.ges="s"'
    assert state.attributes(Pitch.parse("C#4"), tied=False) == ' accid="s"'


def test_an_accidental_holds_to_the_end_of_its_bar() -> None:
    state = Accidentals(0)
    sharp, plain = Pitch.parse("F#4"), Pitch.parse("F4")
    assert state.attributes(sharp, tied=False) == ' accid="s"'
    assert state.attributes(sharp, tied=False) == ' accid.ges="s"'
    assert state.attributes(plain, tied=False) == ' accid="n"'
    state.new_bar()
    assert state.attributes(plain, tied=False) == ""


def test_an_accidental_holds_in_its_octave_only() -> None:
    """Common practice."""
    state = Accidentals(0)
    assert state.attributes(Pitch.parse("F#4"), tied=False) == ' accid="s"'
    assert state.attributes(Pitch.parse("F#5"), tied=False) == ' accid="s"'
    assert state.attributes(Pitch.parse("F3"), tied=False) == ""
