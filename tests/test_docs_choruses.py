"""The ready chorus.yml files: every one can be used as it is, and what it names a source for is
what that source says."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from chorus_handbook.chorus import read_setting

PROJECT = Path(__file__).parent.parent
READY = sorted((PROJECT / "docs" / "writing" / "choruses").glob("*.yml"))

#: Lowest and highest notes as published, by source and part.
PUBLISHED: dict[str, dict[str, tuple[str, str]]] = {
    # Bristol A Cappella, voice-part guide: a community choir
    "community": {
        "soprano": ("C4", "A5"),
        "mezzo": ("A3", "F5"),
        "alto": ("F3", "D5"),
        "low-alto": ("F3", "D5"),
        "tenor": ("D3", "A4"),
        "first-tenor": ("D3", "A4"),
        "baritone": ("B2", "F4"),
        "bass": ("G2", "D4"),
    },
    # One director's comfortable ranges for an amateur church choir, Music Stack Exchange
    "church": {
        "soprano": ("Bb3", "E5"),
        "alto": ("G3", "C5"),
        "second-tenor": ("C3", "E4"),
        "tenor": ("C3", "E4"),
        "bass": ("F2", "C4"),
    },
    # 351 chorales by J. S. Bach in the music21 corpus, computed
    "chorales": {
        "soprano": ("A3", "A5"),
        "alto": ("F3", "D5"),
        "tenor": ("C3", "A4"),
        "bass": ("C2", "E4"),
    },
    # Barbershop Harmony Society, FAQ; the lead's top reads F5 there, likely a misprint for F4
    "close": {
        "tenor": ("B3", "C5"),
        "lead": ("D3", "F4"),
        "baritone": ("C3", "E4"),
        "bass": ("G2", "C4"),
    },
    # Thom, course paper on children's voices
    "grade 1": {"younger": ("C4", "B4")},
    "grade 6": {"older": ("G3", "G5")},
    # C4 Network: middle school; of its sopranos the top is given, of its altos the bottom
    "middle": {
        "soprano": ("", "F5"),
        "alto": ("Bb3", ""),
        "changing": ("G3", "F4"),
        "bass": ("Bb2", "D4"),
    },
}
_VOICE = re.compile(r"^  ([a-z-]+):$")
_RANGE = re.compile(r"^    (?:comfortable|limits): (\S+) to (\S+) +# (.*)$")
_SOURCES = re.compile(r"(?:([A-G][#b]?\d) )?\[([^\]]+)\]")


def stated(text: str) -> Iterator[tuple[str, tuple[str, str], str]]:
    """Every range of a file: whose it is, its two notes, and the remark behind it."""
    voice = ""
    for line in text.splitlines():
        if found := _VOICE.match(line):
            voice = found[1]
        elif found := _RANGE.match(line):
            yield voice, (found[1], found[2]), found[3]


def test_there_is_one_for_every_kind_of_chorus() -> None:
    assert [path.stem for path in READY] == [
        *("changing-voices", "children", "close-harmony", "lower-voices", "mixed", "upper-voices"),
    ]


@pytest.mark.parametrize("path", READY, ids=lambda path: path.stem)
def test_it_can_be_used_as_it_is(path: Path, tmp_path: Path) -> None:
    root = tmp_path / "handbook"
    root.mkdir()
    (root / "chorus.yml").write_bytes(path.read_bytes())
    (root / "vocabulary.yml").write_bytes((PROJECT / "handbook" / "vocabulary.yml").read_bytes())
    setting, problems = read_setting(root)
    assert not problems and setting.chorus
    assert set(setting.chorus.voices) == {voice for voice, *_ in stated(path.read_text("utf-8"))}


@pytest.mark.parametrize("path", READY, ids=lambda path: path.stem)
def test_every_figure_has_a_source_or_is_called_ours(path: Path) -> None:
    """A remark such as "C4 [community], E5 [church]" gives a note's source, one without notes that
    of both."""
    text = path.read_text("utf-8")
    ranges = list(stated(text))
    assert len(ranges) == 2 * len(yaml.safe_load(text)["voices"])
    for voice, notes, remark in ranges:
        named = _SOURCES.findall(remark)
        assert named, (voice, remark)
        whole = [tags for note, tags in named if not note]
        for note, tags in named:
            if note and note not in notes:
                continue  # a figure told beside the one that was chosen
            for tag in tags.split(", "):
                if tag == "ours":
                    continue
                said = PUBLISHED[tag][voice]
                if note:
                    assert said[notes.index(note)] == note, (voice, remark)
                else:
                    assert said == notes, (voice, remark)
        given = {note for note, _ in named}
        assert whole or set(notes) <= given, (voice, remark)


def test_what_is_taken_for_a_misprint_is_told() -> None:
    text = (PROJECT / "docs/writing/choruses/close-harmony.yml").read_text("utf-8")
    assert "D3 to F5" in text and "misprint" in text
