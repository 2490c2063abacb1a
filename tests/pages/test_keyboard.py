"""The picture of a keyboard, against what every keyboard looks like."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.pages.keyboard import (
    BLACK,
    KeyboardPart,
    keyboard,
    keyboard_part,
    middle_of,
    octave,
)
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place
from chorus_handbook.voices import Ladder, compute_ladder

CHORUS = Chorus.model_validate(
    {
        "name": "Test",
        "voices": {
            "soprano": {
                **{"label": "Soprano", "clef": "treble"},
                **{"comfortable": "C4 to F5", "limits": "A3 to A5"},
            },
            "bass": {
                **{"label": "Bass", "clef": "bass", "octave": -1},
                **{"comfortable": "F2 to C4", "limits": "D2 to E4"},
            },
        },
    }
)


def ladder(text: str, *keys: str) -> Ladder:
    score, problems = read_degrees(
        Notation("degrees", text, Place("a.md")), CHORUS, ("soprano", "bass")
    )
    assert score and not problems
    return compute_ladder(score, [Pitch.parse(key) for key in keys], CHORUS)


def test_black_keys_lie_between_the_white_ones_that_they_are_named_after() -> None:
    """Common knowledge: no black key between E and F or B and C; two and three elsewhere."""
    assert {Pitch.parse(f"{letter}b4").midi % 12 for letter in "DEGAB"} == BLACK
    whites = [middle_of(60 + n, 60) for n in range(13) if n not in BLACK]
    assert [later - earlier for earlier, later in pairwise(whites)] == [12] * 7
    for black in BLACK:
        below, at, above = (middle_of(60 + black + n, 60) for n in (-1, 0, 1))
        assert at == (below + above) / 2
    assert octave().count("h7v26") == 5


def test_an_octave_higher_is_seven_white_keys_further() -> None:
    assert middle_of(72, 48) - middle_of(60, 48) == middle_of(73, 48) - middle_of(61, 48) == 7 * 12


def marks(svg: str) -> list[tuple[float, str]]:
    found = re.findall(r'<circle cx="([\d.]+)".*?<text[^>]*>([^<]*)</text>', svg)
    return [(float(at), letters) for at, letters in found]


def test_every_voice_stands_in_its_own_octave() -> None:
    climbed = ladder("all: 3 1 |", "C4", "Eb4")
    shown = keyboard_part(climbed.rungs)
    assert shown == KeyboardPart(48, 2, 0, 14 * 12)
    svg = keyboard(climbed.rungs[0], CHORUS, shown)
    assert marks(svg) == [(middle_of(64, 48), "S"), (middle_of(52, 48), "B")]
    assert f'class="hb-home" d="M{middle_of(60, 48):g} ' in svg
    assert marks(keyboard(climbed.rungs[1], CHORUS, shown)) == [
        (middle_of(67, 48), "S"),
        (middle_of(55, 48), "B"),
    ]


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        (("C4",), KeyboardPart(48, 2, 0, 10 * 12)),  # C3 and C4: up to the E above
        (("F4", "A4"), KeyboardPart(48, 2, 3 * 12, 14 * 12)),  # F3 to A4: from F to B
        (("A3",), KeyboardPart(36, 2, 3 * 12, 14 * 12)),
    ],
)
def test_no_more_is_shown_than_needed(keys: tuple[str, ...], expected: KeyboardPart) -> None:
    assert keyboard_part(ladder("all: 1 1 |", *keys).rungs) == expected


def test_middle_c_is_named_where_it_is_seen() -> None:
    low, high = ladder("all: 1 1 |", "C4"), ladder("all: 1 1 |", "F4")
    for climbed, seen in ((low, True), (high, True)):
        shown = keyboard_part(climbed.rungs)
        assert shown
        assert ("middle C" in keyboard(climbed.rungs[0], CHORUS, shown)) == seen
    alone = ladder("soprano: 1 1 |", "F4")
    shown = keyboard_part(alone.rungs)
    assert shown and "middle C" not in keyboard(alone.rungs[0], CHORUS, shown)


def test_voices_of_one_initial_can_be_told_apart() -> None:
    voice = {"clef": "treble", "comfortable": "C3 to F5", "limits": "A2 to A5"}
    labels = {"first": "First tenor", "second": "Second tenor", "bar": "Baritone", "bass": "Bass"}
    many = {"soprano": {**voice, "label": "Soprano"}}
    many |= {name: {**voice, "label": label} for name, label in labels.items()}
    chorus = Chorus.model_validate({"name": "Test", "voices": many})
    text = "soprano: 1 |\nfirst: 2 |\nsecond: 3 |\nbar: 4 |\nbass: 5 |"
    score, _ = read_degrees(Notation("degrees", text, Place("a.md")), chorus, tuple(many))
    assert score
    rungs = compute_ladder(score, [Pitch.parse("C4")], chorus).rungs
    shown = keyboard_part(rungs)
    assert shown
    found = [letters for _, letters in marks(keyboard(rungs[0], chorus, shown))]
    assert found == ["So", "F", "ST", "Br", "Bs"]


def test_without_keys_there_is_nothing_to_show() -> None:
    assert keyboard_part(()) is None
