"""Documents for the reader of score files: read as an exercise would hold them, and their parts
named after the voices of a test chorus."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.music.measure import sounding_pitches
from chorus_handbook.music.musicxml.reader import read_document
from chorus_handbook.music.score import Score
from chorus_handbook.problems import Problem

Reading = tuple[Score | None, list[Problem]]
#: A note as it sounds: onset and duration in quarters, MIDI number.
Sound = tuple[object, object, int]

_MOST_VOICES = 16


@pytest.fixture(scope="session")
def large_chorus() -> Chorus:
    """A chorus of as many voices as there can be, called V0, V1 ..."""
    voice = {"clef": "treble", "comfortable": "C4 to C5", "limits": "C3 to C6"}
    voices = {f"v{n}": {"label": f"V{n}", **voice} for n in range(_MOST_VOICES)}
    return Chorus.model_validate({"name": "Many", "voices": voices})


@pytest.fixture(scope="session")
def read(chorus: Chorus) -> Callable[..., Reading]:
    """Reads a document for the whole chorus."""

    def read_bytes(document: bytes | str, path: str = "case.musicxml") -> Reading:
        data = document.encode() if isinstance(document, str) else document
        return read_document(data, path, chorus, tuple(chorus.voices))

    return read_bytes


@pytest.fixture(scope="session")
def sounds() -> Callable[[Score], set[Sound]]:
    """What sounds of a score, in the key of its file: spoken and grace notes left out."""

    def sounds_of(score: Score) -> set[Sound]:
        assert score.file is not None
        tonic = score.file.tonic
        return {
            (note.onset, note.duration, pitch.midi)
            for part in score.parts
            for note in part.sung
            for pitch in sounding_pitches(note, part, tonic, score.mode)
        }

    return sounds_of


@pytest.fixture(scope="session")
def music21_files() -> Path:
    """The folder of files that the library music21 is tested with."""
    import music21

    return Path(music21.__file__).parent / "musicxml" / "lilypondTestSuite"


@pytest.fixture(scope="session")
def with_voices() -> Callable[[bytes], bytes]:
    """Gives a document's parts the names of the large chorus, one for each voice of a part; parts
    for which no voice is left are taken out."""
    return _with_voices


def _with_voices(document: bytes) -> bytes:
    root = etree.fromstring(document)
    entries, parts = root.find("part-list"), root.findall("part")
    assert entries is not None
    taken = 0
    for entry in entries.findall("score-part"):
        own = [part for part in parts if part.get("id") == entry.get("id")]
        names = [f"V{taken + n}" for n in range(len(_voices(own)))]
        taken += len(names)
        if taken > _MOST_VOICES:
            entries.remove(entry)
            for part in own:
                root.remove(part)
            continue
        name = entry.find("part-name")
        assert name is not None
        for child in list(name):
            name.remove(child)
        name.text = " + ".join(names)
    return b"\n" * (int(root.sourceline or 1) - 1) + etree.tostring(root)  # all lines as before


def _voices(parts: list[etree._Element]) -> set[tuple[str, str]]:
    """Staff and voice of all notes of a part that take time."""
    found = {
        (note.findtext("staff", "1"), note.findtext("voice", "1"))
        for part in parts
        for note in part.iter("note")
        if all(note.find(name) is None for name in ("rest", "cue", "grace"))
    }
    return found or {("1", "1")}


@pytest.fixture(scope="session")
def music21_sounds() -> Callable[..., set[Sound]]:
    """What music21, which reads MusicXML by itself, hears in a document at sounding pitch, ties
    joined: without grace notes, cues, chord symbols, and notes with crosses for heads."""
    return _music21_sounds


def _music21_sounds(document: bytes, *, unfold: bool = False) -> set[Sound]:
    from music21 import converter, harmony, note, stream

    score: Any = converter.parseData(document.decode(), format="musicxml")
    score = score.toSoundingPitch()
    found = set()
    for part in score.parts:
        whole: stream.Part = (part.expandRepeats() if unfold else part).stripTies()
        for one in whole.recurse().notes:
            small = getattr(one.style, "noteSize", None) == "cue"
            aside = isinstance(one, (harmony.Harmony, note.Unpitched))
            if one.duration.isGrace or small or aside:
                continue
            onset = Fraction(one.getOffsetInHierarchy(whole)).limit_denominator(1000)
            duration = Fraction(one.quarterLength).limit_denominator(1000)
            for sounding in one.notes if one.isChord else [one]:
                # music21 gives a chord's cross to its first note as well
                if "x" not in (sounding.notehead, one.notehead):
                    found.add((onset, duration, sounding.pitch.midi))
    return found
