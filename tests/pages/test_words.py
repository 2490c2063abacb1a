"""Facts in words."""

from __future__ import annotations

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.keys import KeyPath
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.abc import read_abc
from chorus_handbook.music.measure import measure
from chorus_handbook.pages import learning_words, number_words, words
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0.5, "half a minute"),
        (1, "1 minute"),
        (1.5, "1½ minutes"),
        (3, "3 minutes"),
        (0.75, "¾ minute"),
        (1.25, "1¼ minutes"),
        (2.6, "2.6 minutes"),
    ],
)
def test_minutes(value: float, expected: str) -> None:
    assert learning_words.minutes(value) == expected


@pytest.mark.parametrize(
    ("semitones", "expected"),
    [
        (0, "one note"),
        (7, "a fifth"),
        (8, "a minor sixth"),
        (12, "an octave"),
        (6, "an augmented fourth"),
        (16, "a major tenth"),
        (17, "an eleventh"),
    ],
)
def test_a_span_is_said_as_an_interval(semitones: int, expected: str) -> None:
    assert number_words.span(semitones) == expected


def test_note_names_carry_proper_signs() -> None:
    assert [words.note(n) for n in ("Bb3", "F#4", "C4", "Ebb2")] == ["B♭3", "F♯4", "C4", "E♭♭2"]


@pytest.mark.parametrize(
    ("path", "tonics", "expected"),
    [
        ("C4", ["C4"], "C4"),
        ("C4 up to D4", ["C4", "Db4", "D4"], "C4 up to D4, 3 keys"),
        (
            "D4 down to C4 and back",
            ["D4", "Db4", "C4", "Db4", "D4"],
            "D4 down to C4 and back, 5 keys",
        ),
        ("C4 up to E4 by whole tones", ["C4", "D4", "E4"], "C4 up to E4 by whole tones, 3 keys"),
    ],
)
def test_the_way_through_the_keys(path: str, tonics: list[str], expected: str) -> None:
    assert words.keys(KeyPath.parse(path), [Pitch.parse(t) for t in tonics]) == expected


def test_lists_and_lengths() -> None:
    assert [words.listed(x) for x in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]
    assert [words.seconds(s) for s in (0.4, 59.6, 60, 125)] == [
        "0 s",
        "1 min",
        "1 min",
        "2 min 5 s",
    ]


@pytest.mark.parametrize(
    ("tenor", "expected"),
    [
        ("C,D,E,", "soprano and tenor in unison"),  # common practice: an octave apart is unison
        ("E,F,G,", "soprano and tenor in two parts"),
    ],
)
def test_voices_that_sing_the_same_are_in_unison_however_they_are_written(
    tenor: str, expected: str
) -> None:
    voice = {"clef": "treble", "comfortable": "C3 to C5", "limits": "C2 to C6"}
    chorus = Chorus.model_validate(
        {
            "name": "Test",
            "voices": {
                "soprano": voice | {"label": "Soprano"},
                "alto": voice | {"label": "Alto"},
                "tenor": voice | {"label": "Tenor", "octave": -1},
            },
        }
    )
    text = f"M:3/4\nL:1/4\nK:C\nV:soprano\nCDE|\nV:tenor\n{tenor}|"
    score, problems = read_abc(Notation("abc", text, Place("a.md")), chorus, ())
    assert score and problems == []
    facts = measure("a", score, tempo=60, keys=(Pitch.parse("C4"),), passes=1, lead_in=0)
    assert words.who_sings(facts, chorus) == expected


def test_how_long_voices_sound() -> None:
    """To five seconds, and never none at all; voices that sound as long share a figure."""
    assert words.voiced({"Alto": 47.4, "Bass": 46}) == "Each voice sings for about 45 s in all."
    assert words.voiced({"Alto": 63.0}) == "Alto sings for about 1 min 5 s in all."
    assert words.voiced({"Alto": 1.0}) == "Alto sings for about 5 s in all."
    assert words.voiced({"Soprano": 30, "Alto": 31, "Bass": 19}) == (
        "Singing time in all keys, roughly: Soprano and Alto 30 s, Bass 20 s."
    )
    assert words.voiced({}) == ""
