"""Roots of chords, which music21 finds too by another rule; sustained chords; the key's chord."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations

import music21
import pytest

from chorus_handbook.music.chord_names import PitchClass
from chorus_handbook.pitch import Pitch
from chorus_handbook.sound.chords import (
    chord_root,
    lead_cents,
    lead_chord,
    named_chords,
    sustained_chords,
)
from chorus_handbook.sound.timed import TimedPass

Reading = Callable[..., TimedPass]

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


def spans(timed: TimedPass) -> list[tuple[int, int]]:
    return [(c.at // timed.ticks, c.length // timed.ticks) for c in sustained_chords(timed)]


def test_a_chord_stands_while_nobody_moves(timed: Reading) -> None:
    found = timed("soprano: 5 - 5 6.5 |\nalto: 3 - - - |\nbass: 1 - - - |")
    assert spans(found) == [(0, 2), (2, 1)]


def test_unisons_and_octaves_are_no_chord(timed: Reading) -> None:
    assert spans(timed("all: 1 - 2 - |")) == []


def test_a_breath_does_not_shorten_a_chord(timed: Reading) -> None:
    assert spans(timed("soprano: 5 - v 6 - |\nbass: 1 - - - |")) == [(0, 2), (2, 2)]


def test_while_a_voice_glides_no_chord_stands(timed: Reading) -> None:
    assert spans(timed("soprano: 3 - -~ - | 5 - - - |\nbass: 1 - - - | - - - - |")) == [
        (0, 2),
        (4, 4),
    ]


def called(timed: TimedPass) -> list[tuple[float, float, int, str]]:
    """Onset, length, bar and symbol in C of the chords that have a name."""
    tonic = Pitch.parse("C4")
    return [(c.at, c.beats, c.bar, c.name.symbol(tonic)) for c in named_chords(timed)]


def test_a_named_chord_goes_on_while_notes_change_and_the_chord_does_not(timed: Reading) -> None:
    found = timed("soprano: 5.3 5.5 5 4 |\nalto: 3 - 3.3 7, |\nbass: 1 - 1 5, |")
    assert called(found) == [(1.0, 2.0, 1, "C"), (3.0, 1.0, 1, "G7")]
    assert [chord.notes for chord in named_chords(found)] == [
        ("soprano-3",),
        ("soprano-6", "alto-4", "bass-3"),
    ]


def test_it_lasts_a_beat_in_one_piece(timed: Reading) -> None:
    """Three pitch classes on every other half of a beat are no chord; a bass that moves makes
    another one."""
    assert called(timed("soprano: 5.6 5.6 5.6 5.6 |\nalto: 3 - - - |\nbass: 1 - - - |")) == []
    moving = timed("soprano: 5 - - - |\nalto: 3 - - - |\ntenor: 1 - - - |\nbass: 1.3, - 1 - |")
    assert called(moving) == [(0.5, 1.5, 1, "C/E"), (2.0, 2.0, 1, "C")]


def test_a_pickup_is_bar_0(timed: Reading) -> None:
    found = timed("pickup: 1\nsoprano: 5 | 5 - - |\nalto: 3 | 4 - - |\nbass: 1 | 7, - - |")
    assert [(bar, symbol) for _, _, bar, symbol in called(found)] == [(0, "C"), (1, "G7/B")]


def test_a_chord_may_reach_into_other_bars(timed: Reading) -> None:
    found = timed(
        "soprano: 5 - - - | - - 4 - |\nalto: 3 - - - | 3 - 2 - |\nbass: 1 - - - | - - 7, - |"
    )
    bars = [(chord.bar, chord.last_bar) for chord in named_chords(found)]
    assert bars == [(1, 2), (2, 2)]


def test_the_chord_of_a_key_is_the_triad_of_the_mode(timed: Reading) -> None:
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
