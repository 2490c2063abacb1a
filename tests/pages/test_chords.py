"""The chords of an exercise on its page."""

from __future__ import annotations

import json
import re
from dataclasses import replace

from chorus_handbook.music.chord_names import ChordName, NamedChord
from chorus_handbook.music.facts import Facts
from chorus_handbook.pages.chords import chord_bars, symbols_for_browser
from chorus_handbook.pitch import Pitch

TONIC = ChordName((0, 0), "", (0, 0))
SIXTH = ChordName((0, 0), "", (2, 4))
DOMINANT = ChordName((4, 7), "7", (4, 7))


def facts(*keys: str) -> Facts:
    tonics = tuple(map(Pitch.parse, keys))
    return Facts("a", 60, "4/4", "major", tonics, 4, 4, 3, 7, 7, 7, None, 4, ())


def test_chords_stand_in_the_bars_in_which_they_sound() -> None:
    chords = [
        NamedChord(0, 2, 1, 1, TONIC),
        NamedChord(2, 2, 1, 1, DOMINANT),
        NamedChord(8, 8, 3, 4, SIXTH),
    ]
    html = chord_bars(chords, facts("Eb4", "E4"))
    assert "Chords by bar, in E♭:" in html
    bars = re.findall(r'<li value="(\d)">(.*?)</li>', html)
    texts = [(bar, re.sub(r"<[^>]+>", "", inside).split()) for bar, inside in bars]
    assert texts == [
        ("1", ["1", "I", "E♭", "V⁷", "B♭7"]),
        ("3", ["3", "I⁶", "E♭/G"]),
        ("4", ["4", "I⁶", "E♭/G"]),
    ]


def test_without_chords_the_page_says_nothing_of_them() -> None:
    assert chord_bars([], facts("C4")) == ""


def symbols(chords: list[NamedChord], *, in_round: bool = False) -> dict[str, str]:
    """The symbols in E, by note, from what the browser is given for two keys."""
    data = json.loads(symbols_for_browser(chords, facts("Eb4", "E4", "Eb4"), in_round=in_round))
    assert list(data["keys"]) == ["Eb4", "E4"]
    return dict(zip(data["notes"], data["keys"]["E4"], strict=True))


def test_a_symbol_stands_once_above_the_notes_that_begin_with_it() -> None:
    chords = [
        NamedChord(0, 2, 1, 1, TONIC, ("soprano-1", "alto-1")),
        NamedChord(2, 2, 1, 1, DOMINANT, ("alto-2",)),
        NamedChord(4, 1, 2, 2, TONIC),  # a voice has stopped, and no note begins
    ]
    assert symbols(chords) == {"soprano-1": "E", "alto-2": "B7"}
    assert symbols_for_browser(chords[2:], facts("C4"), in_round=False) == ""


def test_in_a_round_it_stands_above_every_voice_that_is_there() -> None:
    chords = [NamedChord(0, 2, 1, 1, TONIC, ("soprano-1", "soprano-5"))]
    assert symbols(chords, in_round=True) == {"soprano-1": "E", "soprano-5": "E"}


def test_what_is_sung_again_over_another_lowest_note_has_the_chord_alone() -> None:
    again = [
        NamedChord(0, 2, 1, 1, SIXTH, ("soprano-1",)),
        NamedChord(8, 2, 3, 3, TONIC, ("soprano-1",)),
        NamedChord(2, 2, 1, 1, SIXTH, ("soprano-2",)),
        NamedChord(10, 2, 3, 3, SIXTH, ("soprano-2",)),
        NamedChord(4, 2, 2, 2, TONIC, ("soprano-3",)),
        NamedChord(12, 2, 4, 4, replace(DOMINANT, quality="9"), ("soprano-3",)),
    ]
    assert symbols(again) == {"soprano-1": "E", "soprano-2": "E/G♯"}
