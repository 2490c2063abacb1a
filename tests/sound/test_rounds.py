"""Rounds as they are heard: every entry in notes.json, in a run of the player and in MIDI, against
music21's rounds."""

from __future__ import annotations

import io
import json
from fractions import Fraction
from typing import Any

import mido
import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.sound import Heard, hear
from chorus_handbook.sound.schedule import PlaybackOptions, schedule
from four_parts import CHORUS
from rounds import CASES, Case, by_music21, read_round

SINGERS = Chorus.model_validate(CHORUS)
Attack = tuple[str, Fraction, int]
"""Who, when in quarters, MIDI number."""


def heard(case: Case) -> tuple[Heard, Fraction]:
    """What is heard of a case, and the quarters of a beat."""
    entry, music, _ = read_round(case, SINGERS)
    assert music.score and music.facts
    return hear(entry, music.score, music.facts, SINGERS), music.score.meter.beat


def expected(case: Case) -> set[Attack]:
    return {
        (part.id, Fraction(note.offset), note.pitch.midi)
        for part in by_music21(case).parts
        for note in part.notes
    }


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_notes_json_has_every_entry(case: Case) -> None:
    sound, beat = heard(case)
    data: dict[str, Any] = json.loads(sound.notes)
    tick = beat / data["ticks_per_beat"]
    found = {
        (voice["name"], note["at"] * tick, data["keys"][0]["midi"] + semitones)
        for voice in data["voices"]
        for note in voice["notes"]
        for semitones in note["semitones"]
    }
    assert found == expected(case)
    assert data["passes"] == 1


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_run_has_every_entry(case: Case) -> None:
    sound, beat = heard(case)
    run = schedule(json.loads(sound.notes), PlaybackOptions(count_in=False))
    found = {
        (event.voice, round(1000 * event.at * float(beat)), event.midi)
        for event in run
        if event.kind == "note"
    }
    assert found == {(who, round(at * 1000), float(midi)) for who, at, midi in expected(case)}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_midi_file_has_every_entry(case: Case) -> None:
    sound, _ = heard(case)
    file = mido.MidiFile(file=io.BytesIO(sound.midi))
    found = set()
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                found.add((track.name, Fraction(now, file.ticks_per_beat), message.note))
    labels = {voice: one.label for voice, one in SINGERS.voices.items()}
    assert found == {(labels[who], at, midi) for who, at, midi in expected(case)}


def test_all_entries_are_drawn_as_the_one_line() -> None:
    sound, _ = heard(CASES[0])
    voices = json.loads(sound.notes)["voices"]
    drawn = [[note["drawn"] for note in voice["notes"]] for voice in voices]
    assert drawn[0] == drawn[1] == drawn[2] == drawn[3]
    assert drawn[0] == [f"soprano-{n}" for n in range(1, 8)] * 2
