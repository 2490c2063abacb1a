"""Just intonation that can be heard: frequencies and beats computed from the cents as the player
computes them, against pure ratios."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import pairwise
from typing import Any

import pytest

from chorus_handbook.music.score import Degree
from chorus_handbook.sound.timed import TimedNote, TimedPass, in_time
from chorus_handbook.sound.tuning import Tuned, tune

Reading = Callable[..., TimedPass]
COMMA = 21.506
"""81/80 in cents, computed."""


def frequency(note: TimedNote, tuned: Tuned | None, tonic: int = 60, pitch: int = 0) -> float:
    """A4 = 440 Hz (ISO 16:1975); without a tuning, equal temperament."""
    cents = tuned.cents[note.id][pitch] if tuned else 0.0
    return float(440 * 2 ** ((tonic + note.semitones[pitch] + cents / 100 - 69) / 12))


def beats(a: float, b: float, p: int, q: int) -> float:
    """How often partial p of the one and q of the other beat, a second."""
    return abs(p * a - q * b)


def named(timed: TimedPass) -> dict[str, TimedNote]:
    return {note.id: note for note in timed.sung}


def cents_of(timed: TimedPass, tuned: Tuned, voice: str) -> list[float]:
    notes = next(v.notes for v in timed.voices if v.name == voice)
    return [tuned.cents[note.id][0] for note in notes]


@pytest.mark.parametrize(
    ("degrees", "p", "q", "equal"),
    [("1 3", 5, 4, 10.382), ("1 5", 3, 2, 0.886), ("1 b3", 6, 5, 14.118)],
)
def test_beats_stop(timed: Reading, degrees: str, p: int, q: int, equal: float) -> None:
    low, high = degrees.split()
    found = timed(f"soprano: {high} - - - |\nalto: {low} - - - |")
    a, b = named(found)["alto-1"], named(found)["soprano-1"]
    assert beats(frequency(a, None), frequency(b, None), p, q) == pytest.approx(equal, abs=0.0006)
    pure = tune(found)
    assert beats(frequency(a, pure), frequency(b, pure), p, q) < 0.01


@pytest.mark.parametrize(("degree", "p", "q", "equal"), [("3", 5, 4, 8.731), ("5", 3, 2, 0.745)])
def test_beats_stop_on_a3_too(timed: Reading, degree: str, p: int, q: int, equal: float) -> None:
    found = timed(f"soprano: {degree} - - - |\nalto: 1 - - - |")
    a, b = named(found)["alto-1"], named(found)["soprano-1"]
    assert beats(frequency(a, None, 57), frequency(b, None, 57), p, q) == pytest.approx(
        equal, abs=0.0006
    )
    assert beats(frequency(a, tune(found), 57), frequency(b, tune(found), 57), p, q) < 0.01


def test_a_line_alone_is_just_above_the_tonic(timed: Reading) -> None:
    found = timed("all: 1 2 3 4 | 5 6 7 1' |")
    expected = [0, 3.91, -13.69, -1.96, 1.96, -15.64, -11.73, 0]
    assert cents_of(found, tune(found), "bass") == expected


def test_raised_and_lowered_degrees_differ(timed: Reading) -> None:
    found = timed("all: #4 b5 #4 b5 |")
    assert cents_of(found, tune(found), "alto")[:2] == [-9.78, 9.78]  # 45/32 and 64/45


CHORDS = [
    ("1 3 5 1'", (4, 5, 6, 8)),
    ("2 4 6 2'", (10, 12, 15, 20)),
    ("5, 7, 2 5", (4, 5, 6, 8)),
    ("5, 7, 2 4", (4, 5, 6, 7)),
    ("7, 2 4 7", (5, 6, 7, 10)),
    ("6, 1 3 5", (10, 12, 15, 18)),
    ("1 3 5 b7", (4, 5, 6, 7)),
    ("2 #4 6 1'", (36, 45, 54, 64)),
    ("3 #5 7 2'", (20, 25, 30, 36)),
    ("b6, 1 b3 b6", (4, 5, 6, 8)),
    ("2 6 2' 6'", (2, 3, 4, 6)),
]


@pytest.mark.parametrize(("degrees", "ratios"), CHORDS)
def test_a_chord_that_stands_is_pure(timed: Reading, degrees: str, ratios: tuple[int, ...]) -> None:
    bass, tenor, alto, soprano = (f"{d} - - - |" for d in degrees.split())
    found = timed(f"soprano: {soprano}\nalto: {alto}\ntenor: {_up(tenor)}\nbass: {_up(bass)}")
    tuned = tune(found)
    voices = ("bass", "tenor", "alto", "soprano")
    sounding = [frequency(named(found)[f"{voice}-1"], tuned) for voice in voices]
    for (low, p), (high, q) in pairwise(zip(sounding, ratios, strict=True)):
        assert beats(low, high, q, p) < 0.003 * q  # of a hundredth of a cent


def _up(line: str) -> str:
    """A line an octave higher: tenor and bass lie an octave below what is written."""
    digit, _, rest = line.partition(" ")
    return (digit[:-1] if digit.endswith(",") else digit + "'") + " " + rest


def test_no_seventh_bends_the_tonic_or_leaves_the_scale_far_behind(timed: Reading) -> None:
    """Dominant sevenths on 3, 6, 2, 5 in turn: their sevenths 2, 5, 1 stay, and 4 rings over 5."""
    found = timed(
        "soprano: 7 - 5 - | 6 - 4 - |\nalto: #5 - 3 - | #4 - 2 - |\n"
        "tenor: 2' - #1' - | 1' - 7 - |\nbass: 3 - 6, - | 2 - 5, - |"
    )
    tuned = tune(found)
    assert cents_of(found, tuned, "tenor")[0] == 3.91
    assert cents_of(found, tuned, "soprano")[1] == 1.96
    assert cents_of(found, tuned, "tenor")[2] == 0.0
    assert cents_of(found, tuned, "soprano")[3] == -29.22


def test_the_supertonic_lies_where_most_of_its_chord_does(timed: Reading) -> None:
    """2 is 10/9 in the minor chord on it, whose other notes are then 4 and 6; 9/8 in the major."""
    minor = timed("soprano: 6 - |\nalto: 4 - |\nbass: 2 - |")
    assert tune(minor).cents == {"soprano-1": (-15.64,), "alto-1": (-1.96,), "bass-1": (-17.6,)}
    major = timed("soprano: 6 - |\nalto: #4 - |\nbass: 2 - |")
    assert tune(major).cents["bass-1"] == (3.91,)
    assert tune(major).cents["soprano-1"] == (5.87,)


def pump(rounds: int) -> str:
    """1 6 2 5 1, each with the notes in common held: the passage that makes a choir sink, by a
    comma a round, when every chord is tuned from the note that is held."""
    lines = {
        "soprano": "5 - 6 - | 5 - - - |",
        "alto": "3 - 4 - | 2 - 3 - |",
        "tenor": "1' 1' 6 - | 7 - 1' - |",
        "bass": "1 6, 2 - | 5, - 1 - |",
    }
    return "\n".join(f"{voice}: {' '.join([line] * rounds)}" for voice, line in lines.items())


def test_nothing_drifts_over_a_loop(timed: Reading) -> None:
    once, often = timed(pump(1)), timed(pump(5))
    first, again = tune(once), tune(often)
    for voice in ("soprano", "alto", "tenor", "bass"):
        assert cents_of(often, again, voice) == 5 * cents_of(once, first, voice)
    assert cents_of(often, again, "bass")[-1] == 0.0


def test_a_held_note_stays_and_may_lie_a_comma_off(timed: Reading) -> None:
    """D held from the minor chord on it into that on 5, whose fifth it is then not quite."""
    found = timed("soprano: 4 - 5 - |\nalto: 2 - - - |\ntenor: 6 - 7 - |\nbass: 2 - 5, - |")
    tuned = tune(found)
    assert tuned.cents["alto-1"] == (-17.6,)  # 10/9
    bass = -500 - 1200 + tuned.cents["bass-2"][0]
    fifth = (200 - 17.6 - bass) % 1200
    assert 701.955 - fifth == pytest.approx(COMMA, abs=0.05)


def test_a_held_note_decides_where_the_root_may_lie(timed: Reading) -> None:
    """6 and 4 held: 2 comes under them as 10/9; with 2 itself held as 9/8 it stays there."""
    held = timed("soprano: 6 - - - |\nalto: 4 - - - |\nbass: 4, - 2 - |")
    assert tune(held).cents["bass-2"] == (-17.6,)
    fifth = timed("soprano: 2' - - - |\nalto: 7 - 6 - |\nbass: 5, - 2 - |")
    assert tune(fifth).cents["bass-2"] == (3.91,)


def test_to_the_bass_it_is_the_lowest_note_that_keeps_its_pitch(timed: Reading) -> None:
    found = timed("soprano: 5 - 1' - |\nalto: 3 - 5 - |\nbass: 1 - 3 - |")
    tuned = tune(found, "bass")
    assert cents_of(found, tuned, "bass") == [0.0, 0.0]
    assert cents_of(found, tuned, "soprano") == [1.96, 13.69]  # 3/2, and 8/5 above 3
    assert cents_of(found, tuned, "alto") == [-13.69, 15.64]  # 5/4, and 6/5 above 3


def test_to_a_voice_the_others_are_pure_below_it_too(timed: Reading) -> None:
    found = timed("soprano: 5 - 5 - |\nalto: 3 - 0 0 |\nbass: 1 - 0 0 |")
    tuned = tune(found, "soprano")
    assert cents_of(found, tuned, "soprano") == [0.0, 0.0]
    assert tuned.cents["alto-1"] == (-15.64,)  # a pure minor third below, 6/5
    assert tuned.cents["bass-1"] == (-1.96,)
    assert "the soprano" in tuned.description


def test_while_the_voice_is_silent_the_tonic_leads(timed: Reading) -> None:
    found = timed("soprano: 0 0 5 - |\nalto: 3 - 3 - |")
    assert cents_of(found, tune(found, "soprano"), "alto") == [-13.69, -15.64]


def test_roots_that_are_written_out(timed: Reading) -> None:
    found = timed("soprano: 6 - 6 - |\nalto: 2 - 2 - |")
    ticks = found.ticks
    roots = [(0, Degree(1)), (2 * ticks, Degree(3))]
    tuned = tune(found, roots=roots)
    assert cents_of(found, tuned, "alto") == [3.91, -17.6]  # 9/8 as a root; 5/3 of 4 is 10/9
    assert cents_of(found, tuned, "soprano") == [5.87, -15.64]
    assert tuned.to == "roots"


@pytest.mark.parametrize("to", ["tonic", "bass", "soprano", "alto"])
def test_every_sung_note_of_the_demo_is_tuned_within_reason(demo: Any, to: str) -> None:
    notes = 0
    for score in demo.scores.values():
        found = in_time(score, demo.config.chorus)
        tuned: Mapping[str, tuple[float, ...]] = tune(found, to).cents
        for note in found.sung:
            assert len(tuned[note.id]) == len(note.semitones)
            assert all(abs(cents) < 50 for cents in tuned[note.id])
            notes += 1
    assert notes > 1000
