"""Roots of chords; music21 finds them too, by another rule."""

from __future__ import annotations

from itertools import combinations

import music21
import pytest

from chorus_handbook.pitch import Pitch
from chorus_handbook.sound.chord_root import PitchClass, chord_root

CHORDS = {
    "C E G": "C",
    "C Eb G": "C",
    "B D F": "B",
    "C E G#": "C",
    "G B D F": "G",
    "D F A C": "D",
    "C E G B": "C",
    "B D F A": "B",
    "B D F Ab": "B",
    "F# A C Eb": "F#",
    "G B F": "G",
    "C E G Bb D": "C",
}
"""By common practice."""


def spelled(name: str) -> PitchClass:
    pitch = Pitch.parse(f"{name}4")
    return pitch.step, pitch.midi % 12


@pytest.mark.parametrize("chord", CHORDS)
def test_the_root_is_found_in_every_inversion(chord: str) -> None:
    names = chord.split()
    for lowest in names:
        assert chord_root({spelled(n) for n in names}, spelled(lowest)) == spelled(CHORDS[chord])


def test_music21_agrees_on_every_triad_and_seventh_of_three_keys() -> None:
    compared = 0
    for scale in ("C D E F G A B", "D E F# G A B C#", "C D Eb F G Ab B"):
        for size in (3, 4):
            for names in combinations(scale.split(), size):
                found = chord_root({spelled(n) for n in names}, spelled(names[0]))
                chord = music21.chord.Chord([f"{n.replace('b', '-')}4" for n in names])
                if not (chord.isTriad() or chord.isSeventh()):
                    continue
                letter = chord.root().name.replace("-", "b")
                assert found == spelled(letter), names
                compared += 1
    assert compared >= 40


def test_thirds_and_fifths_stand_on_their_lower_note() -> None:
    assert chord_root({spelled("A"), spelled("D")}, spelled("A")) == spelled("D")
    assert chord_root({spelled("E"), spelled("C")}, spelled("E")) == spelled("C")


def test_a_second_over_a_fifth_is_a_ninth() -> None:
    assert chord_root({spelled("C"), spelled("F"), spelled("G")}, spelled("C")) == spelled("F")


@pytest.mark.parametrize("chord", ["C F B", "C D", "C C# E", "C E G G#", "C D# G"])
def test_what_piles_up_no_thirds_has_no_root(chord: str) -> None:
    names = chord.split()
    assert chord_root({spelled(n) for n in names}, spelled(names[0])) is None


def test_spelling_decides() -> None:
    """C Eb F# A, spelled so, is the diminished seventh on F#."""
    assert chord_root({spelled(n) for n in "C Eb F# A".split()}, spelled("C")) == spelled("F#")
