"""Keys moved to where other voices can sing them."""

from __future__ import annotations

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.entries.model import Notation, StepOut
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Place
from chorus_handbook.voices.fitting import fit_keys

FIFTH = "all: 1 3 5 3 | 1 - - 0 |"


def chorus(*ranges: str) -> Chorus:
    """Voices of these comfortable ranges, whose limits are the same."""
    voices = {
        f"voice-{number}": {
            "label": f"Voice {number}",
            "clef": "treble",
            "comfortable": notes,
            "limits": notes,
        }
        for number, notes in enumerate(ranges, 1)
    }
    return Chorus.model_validate({"name": "Test", "voices": voices})


def score(text: str, choir: Chorus) -> Score:
    found, problems = read_degrees(
        Notation("degrees", text, Place("test")), choir, tuple(choir.voices)
    )
    assert found and not problems
    return found


def fitted(text: str, keys: str, *ranges: str, step_out: StepOut = "no") -> tuple[str, str] | None:
    choir = chorus(*ranges)
    found = fit_keys(score(text, choir), KeyPath.parse(keys), choir, step_out=step_out)
    return found and (str(found.path), found.step_out)


@pytest.mark.parametrize(
    ("keys", "ranges", "expected"),
    [
        # C4 to G4 in the first key, E4 to B4 in the last: five keys with room to spare
        ("C4 up to E4", ["A3 to C5"], ("C4 up to E4", "no")),
        # a fourth higher is as little as will do
        ("C4 up to E4", ["F4 to C5"], ("F4", "no")),
        ("C4 up to E4", ["F4 to Db5"], ("F4 up to Gb4", "no")),
        # downward: the same way, and the first key is the highest
        ("G4 down to E4", ["Bb3 to Bb4"], ("Eb4 down to C4", "no")),
        ("C4 up to E4 and back", ["D4 to C#5"], ("D4 up to Gb4 and back", "no")),
        ("C4 up to E4 by whole tones", ["D4 to C#5"], ("D4 up to Gb4 by whole tones", "no")),
        ("C4", ["E4 to B4"], ("E4", "no")),
        # two voices that have a fourth in common: one line, so whoever finds it high steps out
        ("C4", ["C4 to F4", "G3 to C4"], None),
        ("C4", ["C4 to C5", "C4 to F4"], None),
    ],
)
def test_keys_are_moved_as_little_as_possible(
    keys: str, ranges: list[str], expected: tuple[str, str] | None
) -> None:
    assert fitted(FIFTH, keys, *ranges) == expected


def test_half_of_the_voices_sing_in_every_key() -> None:
    """As written, C4 up to G4 ends on D5, which is too high for one of two."""
    ranges = ("C4 to D5", "C4 to A4")
    assert fitted(FIFTH, "C4 up to G4", *ranges, step_out="allowed") == ("C4 up to G4", "allowed")
    three = (*ranges, "C4 to Bb4")
    assert fitted(FIFTH, "C4 up to G4", *three, step_out="allowed") == ("C4 up to Eb4", "allowed")


def test_nobody_steps_out_of_a_chord() -> None:
    chord = "voice-1: 5 - - - |\nvoice-2: 1 - - - |"
    ranges = ("G4 to C5", "C4 to F4")
    assert fitted(chord, "C4 up to A4", *ranges, step_out="allowed") == ("C4 up to F4", "allowed")
    assert fitted(chord, "C4", "G4 to C5", "C2 to F2") is None


def test_a_line_that_suits_nobody_alike_may_be_left() -> None:
    choir = chorus("C4 to C5", "C4 to A4")
    wide = choir.voices["voice-2"].model_copy(
        update={"comfortable": chorus("E4 to G4").voices["voice-1"].comfortable}
    )
    choir = choir.model_copy(update={"voices": {**choir.voices, "voice-2": wide}})
    found = fit_keys(score(FIFTH, choir), KeyPath.parse("C4"), choir, step_out="no")
    assert found and (str(found.path), found.step_out) == ("C4", "allowed")


def test_what_is_spoken_keeps_its_key() -> None:
    assert fitted("all: x x x 0 |", "C4", "A5 to C6") == ("C4", "no")
