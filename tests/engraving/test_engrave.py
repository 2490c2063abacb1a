"""Drawings as they stand in a page, with ids that are unique."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.engraved import sprite
from chorus_handbook.engraving.exercise import engrave_in_key
from chorus_handbook.entries.model import Notation
from chorus_handbook.music.degrees import read_degrees
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place

WORDS = "Sail the boat a- long the shore".split()


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
        assert markup.count(">strength<") == markup.count(">springs<") == 1


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
    assert {"alto-1", "alto-31", "alto-31-2"} <= set(ids(e.wide))
    assert {"alto-1.n", "alto-31-2.n"} <= set(ids(e.narrow))
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
    assert "aria-label" not in long_drawing.thumbnail


def test_titles_are_escaped(build: Any, chorus: Chorus) -> None:
    score = build.score([build.part("alto", [build.sung(0, 4, "<b>&")])])
    key = Pitch.parse("C4")
    drawn = engrave_in_key("x", "<script>&\"'", score, chorus=chorus, tonic=key)
    root = ET.fromstring(drawn.wide)
    assert root.get("aria-label") == "<script>&\"' in C major, 4/4"
    assert "<script" not in drawn.wide


@pytest.mark.parametrize("tonic", ["C4", "F#4", "Gb4", "Bb3"])
def test_ids_are_the_same_in_every_key(tonic: str, build: Any, chorus: Chorus) -> None:
    score = build.score(build.together(list(chorus.voices), build.scale(*range(8))))

    def drawn(key: str) -> list[str]:
        pitch = Pitch.parse(key)
        return ids(engrave_in_key("x", "X", score, chorus=chorus, tonic=pitch).wide)

    assert drawn(tonic) == drawn("D4")


SHARES = st.sampled_from("1 2 3 4 5 6 7 1' 5, #4 b7 0 - - x x' x, 3~ 6^ 5?".split())
BEATS = st.lists(SHARES, min_size=1, max_size=8).map(".".join)
BARS = st.lists(BEATS, min_size=1, max_size=7).map(" ".join)
LINES = st.lists(BARS, min_size=1, max_size=4).map(" | ".join)


@settings(max_examples=settings.default.max_examples // 2)
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
