"""The stage: from files to drawings, with ids that are unique, and a store that spares the
engraver."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import EngravingError, engrave, engrave_in_key, layouts, sprite
from chorus_handbook.entries import read_entries
from chorus_handbook.entries.model import Notation
from chorus_handbook.music import Music, read_music
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import CODES, Place

WORDS = "Sail the boat a- long the shore".split()


def read(project: Path, chorus: Chorus) -> tuple[Music, Any]:
    entries, _ = read_entries(project / "handbook")
    music, problems = read_music(entries, chorus, project / "handbook")
    assert not problems
    return music, entries


def ids(*markup: str | None) -> list[str]:
    return [name for text in markup if text for name in re.findall(r' id="([^"]*)"', text)]


def test_words_under_a_note_that_is_tied_into_a_new_system_are_drawn(chorus: Chorus) -> None:
    """The engraver warns of an extender line under a single note; nothing is missing."""
    text = (
        "all: 1 2 3 4 | 5 - - - | - 4 3 2 | 1 - - - |\n"
        "words: la la la la side strength through lengths mist\n"
        "words: lo lo lo lo tide springs through thoughts mast\n"
    )
    score, problems = read_degrees(
        Notation("degrees", text, Place("x")), chorus, tuple(chorus.voices)
    )
    assert score is not None and problems == []
    drawn = engrave_in_key("tide", "Tide", score, chorus=chorus, tonic=Pitch.parse("C4"))
    for markup in (drawn.wide, drawn.narrow or ""):
        assert markup.count(">strength<") == markup.count(">springs<") == 3  # one for each clef


def test_every_measured_exercise_is_drawn_in_every_key(project: Path, chorus: Chorus) -> None:
    music, entries = read(project, chorus)
    drawn, problems = engrave(music, entries, chorus, Cache(None))
    assert problems == []
    (slug,) = drawn
    assert slug == "low-tide"
    assert [str(key.tonic) for key in drawn[slug]] == ["C4", "Db4", "D4"]
    assert [bool(key.thumbnail) for key in drawn[slug]] == [True, False, False]
    engraved = drawn[slug][0]
    assert '<title id="low-tide-score">Low tide in C major, 4/4</title>' in engraved.wide
    assert 'aria-labelledby="low-tide-score low-tide-score-text"' in engraved.wide
    root = ET.fromstring(engraved.wide)
    assert root.get("role") == "img"
    assert "mm" in [text.text for text in root.iter("text")]


def test_exercises_without_facts_are_left_out(project: Path, chorus: Chorus) -> None:
    music, entries = read(project, chorus)
    bare = Music(scores=music.scores)
    assert engrave(bare, entries, chorus, Cache(None)) == ({}, [])


def test_a_failure_is_a_problem_where_the_notation_stands(
    project: Path, chorus: Chorus, monkeypatch: pytest.MonkeyPatch
) -> None:
    music, entries = read(project, chorus)

    def fail(*_: object) -> None:
        raise EngravingError("ink has run out")

    monkeypatch.setattr(layouts, "write_mei", fail)
    drawn, (problem,) = engrave(music, entries, chorus, Cache(None))
    assert drawn == {}
    assert (problem.code, CODES[problem.code]) == ("engraving", "error")
    assert "ink has run out" in problem.message
    assert problem.place.path == "handbook/exercises/low-tide.md"
    notation = entries.sources[0].notation
    assert problem.place.line == notation.place.line > 10


@pytest.fixture(scope="module")
def long_drawing(build: Any, chorus: Chorus) -> Any:
    """An exercise that needs a narrow drawing."""
    line = [build.sung(n % 5, 1, WORDS[n % 7]) for n in range(30)]
    score = build.score([build.part("alto", [*line, build.sung(0, 6)])])
    key = Pitch.parse("D4")
    return engrave_in_key("a-b", "A b", score, chorus=chorus, tonic=key)


def test_ids_are_unique_in_a_page(long_drawing: Any) -> None:
    e = long_drawing
    found = ids(e.wide, e.narrow, e.thumbnail, sprite(e.symbols))
    assert len(found) == len(set(found))
    assert {"alto-1", "alto-31", "alto-31-2", "a-b-score", "a-b-score-text"} <= set(ids(e.wide))
    assert {"alto-1.n", "alto-31-2.n", "a-b-score.n", "a-b-score-text.n"} <= set(ids(e.narrow))
    assert ids(e.thumbnail) == []


def test_the_sprite_holds_every_sign_and_takes_no_room(long_drawing: Any) -> None:
    e = long_drawing
    used = set(re.findall(r'href="#([^"]*)"', e.wide + e.narrow + e.thumbnail))
    assert used == set(e.symbols) == set(ids(sprite(e.symbols)))
    assert list(e.symbols) == sorted(e.symbols)
    assert sprite(e.symbols).startswith('<svg width="0" height="0"')
    assert 'aria-hidden="true"' in sprite(e.symbols)


def test_thumbnails_are_silent_for_screen_readers(long_drawing: Any) -> None:
    assert 'aria-hidden="true"' in long_drawing.thumbnail
    assert "<title" not in long_drawing.thumbnail


def test_titles_are_escaped(build: Any, chorus: Chorus) -> None:
    score = build.score([build.part("alto", [build.sung(0, 4, "<b>&")])])
    key = Pitch.parse("C4")
    drawn = engrave_in_key("x", "<script>&\"'", score, chorus=chorus, tonic=key)
    root = ET.fromstring(drawn.wide)
    assert root[0].text == "<script>&\"' in C major, 4/4"
    assert "<script" not in drawn.wide


@pytest.mark.parametrize("tonic", ["C4", "F#4", "Gb4", "Bb3"])
def test_ids_are_the_same_in_every_key(tonic: str, build: Any, chorus: Chorus) -> None:
    score = build.score(build.together(list(chorus.voices), build.scale(*range(8))))

    def drawn(key: str) -> list[str]:
        pitch = Pitch.parse(key)
        return ids(engrave_in_key("x", "X", score, chorus=chorus, tonic=pitch).wide)

    assert drawn(tonic) == drawn("D4")


def test_an_unchanged_handbook_is_not_drawn_again(project: Path, tmp_path: Path) -> None:
    """Two runs in two processes: the same bytes, and the second does without the engraver."""
    script = (
        "import hashlib, pathlib, sys\n"
        "from chorus_handbook.cache import Cache\n"
        "from chorus_handbook.chorus import read_setting\n"
        "from chorus_handbook.engraving import engrave\n"
        "from chorus_handbook.engraving.lyric_font import lyric_font\n"
        "from chorus_handbook.entries import read_entries\n"
        "from chorus_handbook.music import read_music\n"
        "root, cache = pathlib.Path(sys.argv[1]), Cache(pathlib.Path(sys.argv[2]))\n"
        "chorus = read_setting(root)[0].chorus\n"
        "entries = read_entries(root)[0]\n"
        "drawn = engrave(read_music(entries, chorus, root)[0], entries, chorus, cache)\n"
        "lyric_font(cache)\n"
        "heavy = {'verovio', 'fontTools', 'music21', 'matplotlib', 'numpy'} & set(sys.modules)\n"
        "assert drawn[0] and not drawn[1]\n"
        "print(hashlib.sha256(repr(drawn).encode()).hexdigest(), *sorted(heavy))\n"
    )
    command = [sys.executable, "-c", script, str(project / "handbook"), str(tmp_path / "store")]
    first, second = (
        subprocess.run(
            command,
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout.split()
        for seed in ("1", "2")
    )
    assert first[0] == second[0]
    assert "verovio" in first
    assert second[1:] == []


SHARES = st.sampled_from("1 2 3 4 5 6 7 1' 5, #4 b7 0 - - x x' x, 3~ 6^ 5?".split())
BEATS = st.lists(SHARES, min_size=1, max_size=8).map(".".join)
BARS = st.lists(BEATS, min_size=1, max_size=7).map(" ".join)
LINES = st.lists(BARS, min_size=1, max_size=4).map(" | ".join)


@settings(max_examples=40, deadline=None)
@given(
    meter=st.sampled_from(["4/4", "3/4", "6/8", "7/8", "2/2", "free"]),
    mode=st.sampled_from(["major", "minor", "lydian"]),
    lines=st.lists(LINES, min_size=1, max_size=2),
    tonic=st.sampled_from(["C4", "F#4", "Gb4", "Eb4"]),
)
def test_whatever_can_be_written_can_be_drawn(
    meter: str, mode: str, lines: list[str], tonic: str, chorus: Chorus
) -> None:
    voices = ("soprano+tenor", "others")
    text = f"meter: {meter}\nmode: {mode}\nwords: la-lo _ * tu ...\n"
    text += "\n".join(f"{voice}: {line}" for voice, line in zip(voices, lines, strict=False))
    score, _ = read_degrees(Notation("degrees", text, Place("x")), chorus, tuple(chorus.voices))
    if score is None or not score.parts:
        return  # what is wrong with it is the reader's to say
    key = Pitch.parse(tonic)
    engraved = engrave_in_key("x", "X", score, chorus=chorus, tonic=key)
    for drawing in (engraved.wide, engraved.narrow, engraved.thumbnail):
        assert drawing is None or ET.fromstring(drawing) is not None
