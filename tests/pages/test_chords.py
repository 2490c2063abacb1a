"""The chords of an exercise on its page."""

from __future__ import annotations

import re

from chorus_handbook.music.chord_names import ChordName, NamedChord
from chorus_handbook.music.facts import Facts
from chorus_handbook.pages.chords import chord_bars
from chorus_handbook.pitch import Pitch

TONIC = ChordName((0, 0), "", (0, 0))
SIXTH = ChordName((0, 0), "", (2, 4))
DOMINANT = ChordName((4, 7), "7", (4, 7))


def facts(*keys: str) -> Facts:
    tonics = tuple(map(Pitch.parse, keys))
    return Facts("a", 60, "4/4", "major", tonics, 4, 4, 3, 7, 7, 7, None, 4, ())


def test_chords_stand_in_the_bars_in_which_they_begin() -> None:
    chords = [
        NamedChord(0, 2, 1, TONIC),
        NamedChord(2, 2, 1, DOMINANT),
        NamedChord(8, 4, 3, SIXTH),
    ]
    html = chord_bars(chords, facts("Eb4", "E4"))
    assert "Chords by bar, in E♭:" in html
    bars = re.findall(r'<li value="(\d)">(.*?)</li>', html)
    texts = [(bar, re.sub(r"<[^>]+>", "", inside).split()) for bar, inside in bars]
    assert texts == [("1", ["1", "I", "E♭", "V⁷", "B♭7"]), ("3", ["3", "I⁶", "E♭/G"])]


def test_without_chords_the_page_says_nothing_of_them() -> None:
    assert chord_bars([], facts("C4")) == ""
