"""Ladders of whole exercises, recomputed with music21."""

from __future__ import annotations

from pathlib import Path

import pytest

from checked import Checked, checked
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place
from chorus_handbook.voices import Ladder, compute_ladder
from chorus_handbook.voices.ladder_data import ladder_as_json, ladder_as_text
from music21_ladders import compared_with_music21


def test_every_demo_ladder_is_what_music21_comes_to(demo: Checked) -> None:
    assert len(demo.ladders) >= 60
    assert compared_with_music21(demo) > 1000


@pytest.fixture
def choir() -> Chorus:
    return Chorus.model_validate(
        {
            "name": "Test",
            "voices": {
                "soprano": _voice("Soprano", "treble", 0, "C4 to F5", "A3 to A5"),
                "alto": _voice("Alto", "treble", 0, "G3 to C5", "E3 to E5"),
                "bass": _voice("Bass", "bass", -1, "F2 to C4", "D2 to E4"),
            },
        }
    )


def _voice(label: str, clef: str, octave: int, comfortable: str, limits: str) -> dict[str, object]:
    return {
        "label": label,
        "clef": clef,
        "octave": octave,
        "comfortable": comfortable,
        "limits": limits,
    }


def ladder(
    choir: Chorus, text: str, *keys: str, octave: bool = False, wide: bool = False
) -> Ladder:
    score, problems = read_degrees(Notation("degrees", text, Place("a.md")), choir, ("alto",))
    assert score and not problems
    tonics = [Pitch.parse(key) for key in keys]
    return compute_ladder(score, tonics, choir, may_change_octave=octave, wide=wide)


FIFTH = "all: 1 3 5 - |"


def test_each_voice_steps_out_where_its_own_limit_lies(choir: Chorus) -> None:
    found = ladder(choir, "soprano+alto+bass: 1 3 5 - |", "F4", "A4", "B4", "Db5", "E5")
    assert [rung.out for rung in found.rungs] == [
        (),
        (),
        ("alto", "bass"),
        ("alto", "bass"),
        ("soprano", "alto", "bass"),
    ]
    assert [found.steps_out(name) for name in ("soprano", "alto", "bass")] == [4, 2, 2]
    assert found.last_for_all == 1


def test_a_chord_stands_while_each_line_has_a_voice(choir: Chorus) -> None:
    text = "soprano+alto: 5 6 5 - |\nbass: 1 1 1 - |"
    found = ladder(choir, text, "G4", "Ab4", "E5")
    assert found.lines == (("soprano", "alto"), ("bass",))
    assert (found.last_for_all, found.last_for_chord) == (0, 1)
    alone = ladder(choir, "alto: 5 6 5 - |\nbass: 1 1 1 - |", "G4", "Ab4")
    assert (alone.last_for_all, alone.last_for_chord) == (0, 0)


def test_nobody_may_be_in_even_at_the_start(choir: Chorus) -> None:
    found = ladder(choir, FIFTH, "C6")
    assert (found.last_for_all, found.last_for_chord) == (None, None)


def test_a_voice_may_go_on_in_another_octave(choir: Chorus) -> None:
    found = ladder(choir, FIFTH, "C4", "C5", octave=True)
    assert [rung.voices["alto"].octaves for rung in found.rungs] == [0, -1]
    assert found.rungs[1].out == ()
    assert ladder(choir, FIFTH, "C4", "C5").rungs[1].out == ("alto",)


def test_touched_and_held_notes_are_told_apart(choir: Chorus) -> None:
    held = ladder(choir, "all: 1 3 5 - |", "Gb4").rungs[0].voices["alto"]
    touched = ladder(choir, "all: 1 3.5 3 - |", "Gb4").rungs[0].voices["alto"]
    assert (held.state, held.sustains_outside) == ("edge", True)
    assert (touched.state, touched.sustains_outside) == ("edge", False)


@pytest.fixture
def gliding() -> Chorus:
    """Altos up to E5, and up to A5 in hums and glides."""
    alto = {"label": "Alto", "clef": "treble", "comfortable": "G3 to C5", "limits": "E3 to E5"}
    return Chorus.model_validate(
        {"name": "Test", "voices": {"alto": {**alto, "widest": "C3 to A5"}}}
    )


@pytest.mark.parametrize(
    ("text", "wide", "expected"),
    [
        ("all: 1 5 1' - |", False, "out"),  # F4 up to F5, sung
        ("all: 1 5 1' - |", True, "edge"),  # hummed
        ("all: 1 1~ 1'~ 1 |", False, "edge"),  # glided through
        ("all: 1 1~ 1' 1 |", False, "out"),  # glided to, and held for a beat
        ("all: 1 1~ 1'.1 1 |", False, "edge"),  # glided to, and left at once
        ("all: 1 1~ 1'~ - | 1 - - - |", False, "edge"),
        ("meter: 2/4\nall: 1~ 1'.0 |", False, "edge"),  # glided from end to end
        ("all: 1 1~ 4'~ 1 |", False, "out"),  # B flat 5 lies beyond the widest range too
        ("all: 1 5 4' - |", True, "out"),
    ],
)
def test_hums_and_glides_may_go_to_the_widest_range(
    gliding: Chorus, text: str, wide: bool, expected: str
) -> None:
    assert ladder(gliding, text, "F4", wide=wide).rungs[0].voices["alto"].state == expected


@pytest.mark.parametrize(("flag", "expected"), [("widest: true", "edge"), ("", "out")])
def test_a_manner_goes_to_the_widest_range_where_the_vocabulary_says_so(
    project: Path, flag: str, expected: str
) -> None:
    root = project / "handbook"
    for name, old, new in (
        ("chorus.yml", "limits: E3 to E5}", "limits: E3 to E5, widest: E3 to C6}"),
        ("vocabulary.yml", "lowest_impact: 2}", f"lowest_impact: 2, {flag}}}"),
        ("exercises/low-tide.md", "keys: C4 up to D4", "keys: D5 up to E5\nvoices: [alto]"),
    ):
        path = root / name
        text = path.read_text("utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1).replace(", }", "}"), "utf-8")
    book = checked(root)
    assert book.ladders["low-tide"].rungs[0].voices["alto"].state == expected


def test_a_siren_holds_only_the_notes_it_rests_on(gliding: Chorus) -> None:
    resting = ladder(gliding, "all: 1~ - - - | 1' - - - |", "D4").rungs[0].voices["alto"]
    assert (resting.reach.held_lowest, resting.reach.glided_lowest) == (74, 62)
    through = ladder(gliding, "all: 1~ - - - | 1'~ - - - | 1 0 0 0 |", "F4").rungs[0].voices["alto"]
    assert (through.state, through.sustains_outside) == ("edge", False)


def test_notes_as_far_as_is_easy_put_nobody_out(choir: Chorus) -> None:
    assert ladder(choir, "all: 1 3 5 1'? |", "F4").rungs[0].voices["alto"].state == "comfortable"


def test_first_notes_are_spelled_in_their_key(choir: Chorus) -> None:
    found = ladder(choir, "all: 3 1 |", "C4", "Db4", "Gb4")
    assert [str(rung.voices["alto"].first) for rung in found.rungs] == ["E4", "F4", "Bb4"]


def test_the_ladder_as_data_and_as_a_table(choir: Chorus) -> None:
    found = ladder(choir, FIFTH, "C4", "Gb4", "B4")
    assert ladder_as_json(found) == [
        {"key": "C4", "tonic_midi": 60, "voices": {"alto": "comfortable"}},
        {"key": "Gb4", "tonic_midi": 66, "voices": {"alto": "edge"}},
        {"key": "B4", "tonic_midi": 71, "voices": {"alto": "out"}},
    ]
    head, row = ladder_as_text(found).splitlines()
    assert head.split() == ["key", "C4", "Gb4", "B4", "begins", "on"]
    assert row.split() == ["alto", "easy", "edge", "out", "C4"]


def test_who_only_speaks_stands_on_no_ladder(choir: Chorus) -> None:
    found = ladder(choir, "all: x x x x |", "C4", "D4")
    assert found.rungs == () and ladder_as_text(found) == "" and ladder_as_json(found) == []
