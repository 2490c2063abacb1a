"""The names of degrees that the browser writes under notes, against music21: its scale degrees with
their accidentals, and its sol-fa syllables in the major scale that has the same signature."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from music21 import interval, pitch, scale

from chorus_handbook.music.modes import MODES
from chorus_handbook.music.score import Degree
from chorus_handbook.pitch import Pitch

CASES = Path(__file__).parent.parent / "cases" / "degree_names" / "degrees.json"
SCALES: dict[str, Any] = {
    "major": scale.MajorScale,
    "minor": scale.MinorScale,
    "dorian": scale.DorianScale,
    "phrygian": scale.PhrygianScale,
    "lydian": scale.LydianScale,
    "mixolydian": scale.MixolydianScale,
}
SIGNS = {"sharp": "♯", "flat": "♭"}


@pytest.mark.parametrize(
    "case", json.loads(CASES.read_text("utf-8"))["cases"], ids=lambda case: "-".join(map(str, case))
)
@pytest.mark.parametrize("tonic", ["D4", "E-4"])
def test_names_agree_with_music21(case: list[Any], tonic: str) -> None:
    mode, start, steps, semitones, number, syllable = case
    assert start == MODES[mode].start
    degree = Degree(steps, semitones - Degree(steps).semitones(mode))
    spelled = str(degree.in_key(Pitch.parse(tonic.replace("-", "b")), mode)).replace("b", "-")
    theirs = SCALES[mode](pitch.Pitch(tonic))
    place, accidental = theirs.getScaleDegreeAndAccidentalFromPitch(pitch.Pitch(spelled))
    assert f"{SIGNS[accidental.name] if accidental else ''}{place}" == number
    theirs = scale.MajorScale(relative_major(tonic, start)).solfeg(pitch.Pitch(spelled))
    assert theirs.replace("sol", "so") == syllable  # both are in use


def relative_major(tonic: str, start: int) -> pitch.Pitch:
    """The tonic of the major scale whose degree `start` is this one."""
    up = interval.Interval(("P1", "M2", "M3", "P4", "P5", "M6", "M7")[start])
    found = up.reverse().transposePitch(pitch.Pitch(tonic))
    assert found is not None
    return found
