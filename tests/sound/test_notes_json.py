"""notes.json of the whole demo, against readings that share none of its code: the engraver's own
MIDI of each drawing (verovio), and music21's reading of the files from notation editors."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import zip_longest
from pathlib import Path
from typing import Any

import mido
import music21
import pytest

from checked import Checked, checked
from chorus_handbook.engraving.engine import midi
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.engraving.written import write
from chorus_handbook.music.score import Span
from chorus_handbook.pitch import Pitch
from chorus_handbook.sound.notes_json import notes_data
from chorus_handbook.sound.schedule import PlaybackOptions, schedule
from chorus_handbook.sound.timed import TimedPass
from chorus_handbook.sound.tuning import tune

HANDBOOK = Path(__file__).parents[2] / "handbook"
FILES = sorted(path.stem for path in (HANDBOOK / "scores").glob("*.musicxml"))
TEXTS = sorted(
    path.stem
    for path in (HANDBOOK / "exercises").glob("*.md")
    if "```degrees" in path.read_text(encoding="utf-8")
)
Attack = tuple[Fraction, int]
"""Onset in quarters, MIDI number."""


@pytest.fixture(scope="module")
def notes(demo: Checked) -> Mapping[str, dict[str, Any]]:
    return {slug: json.loads(heard.notes) for slug, heard in demo.heard.items()}


def attacks(data: dict[str, Any], key: int, quarters_a_beat: Fraction) -> set[Attack]:
    """What the file says, in one of its keys."""
    tonic = data["keys"][key]["midi"]
    tick = quarters_a_beat / data["ticks_per_beat"]
    return {
        (note["at"] * tick, tonic + semitones)
        for voice in data["voices"]
        for note in voice["notes"]
        for semitones in note["semitones"]
    }


def stretched(moment: Fraction, holds: Iterable[Span]) -> Fraction:
    """A moment when every hold before it has lasted twice as long, by the amount of each hold that
    lies before the moment."""
    return moment + sum(
        (max(min(moment, h.onset + h.duration) - h.onset, Fraction(0)) for h in holds),
        Fraction(0),
    )


def engraved(slug: str, book: Checked, key: int) -> set[Attack]:
    """The attacks in the engraver's MIDI of every voice drawn alone in a key; heads without a
    pitch, which it writes as 0, left out. It does not stretch fermatas."""
    chorus = book.config.chorus
    assert chorus
    score, tonic = book.scores[slug], book.facts[slug].keys[key]
    alone = [replace(score, parts=(replace(part, shares=()),)) for part in score.parts]
    documents = [write_mei(write(one, chorus, {}), tonic, Show()) for one in alone]
    files = [mido.MidiFile(file=io.BytesIO(midi(mei))) for mei in documents]
    found: set[Attack] = set()
    for file, track in ((one, track) for one in files for track in one.tracks):
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity and message.note:
                moment = Fraction(round(24 * now / file.ticks_per_beat), 24)
                found.add((stretched(moment, score.fermatas), message.note))
    return found


@pytest.mark.parametrize("slug", TEXTS)
@pytest.mark.parametrize("key", [0, -1])
def test_onsets_and_pitches_are_those_of_the_drawing(
    slug: str, key: int, demo: Checked, notes: Mapping[str, dict[str, Any]]
) -> None:
    beat = demo.scores[slug].meter.beat
    ours = {
        (Fraction(round(24 * onset), 24), pitch) for onset, pitch in attacks(notes[slug], key, beat)
    }
    assert ours == engraved(slug, demo, key)


@pytest.mark.parametrize("slug", FILES)
def test_files_from_notation_editors_sound_as_music21_reads_them(
    slug: str, demo: Checked, notes: Mapping[str, dict[str, Any]]
) -> None:
    score = music21.converter.parse(HANDBOOK / "scores" / f"{slug}.musicxml")
    expected: set[Attack] = set()
    for part in score.parts:
        expanded = part.expandRepeats() if part.recurse().getElementsByClass("Repeat") else part
        for note in expanded.flatten().notes:
            if note.tie and note.tie.type != "start":
                continue
            moment = stretched(Fraction(note.offset), demo.scores[slug].fermatas)
            expected |= {(moment, pitch.midi) for pitch in note.pitches}
    file, data = demo.scores[slug].file, notes[slug]
    assert file
    shift = data["keys"][0]["midi"] - file.tonic.midi  # it is sung from another key than written
    ours = attacks(data, 0, demo.scores[slug].meter.beat)
    assert ours == {(moment, pitch + shift) for moment, pitch in expected}


def test_the_demo_has_notes_to_compare(notes: Mapping[str, dict[str, Any]]) -> None:
    assert len(TEXTS) >= 30 and len(FILES) >= 3
    assert set(TEXTS) | set(FILES) <= set(notes)


def test_lengths_are_those_that_were_measured(
    demo: Checked, notes: Mapping[str, dict[str, Any]]
) -> None:
    for slug, data in notes.items():
        seconds = data["length"] / data["ticks_per_beat"] * 60 / data["tempo"]
        assert seconds == pytest.approx(demo.facts[slug].seconds_per_pass)


def test_what_shall_be_highlighted_is_drawn(
    demo: Checked, notes: Mapping[str, dict[str, Any]]
) -> None:
    chorus = demo.config.chorus
    assert chorus
    for slug, data in notes.items():
        score = demo.scores[slug]
        named = {note["drawn"] for voice in data["voices"] for note in voice["notes"]}
        if score.file:
            assert all(f'id="{name}"' in score.file.xml for name in named)
        else:
            placed = write(score, chorus, {}).placed
            assert named <= {item.id for staff in placed for item in staff}


def test_the_same_files_give_the_same_bytes(demo: Checked) -> None:
    again = checked(demo.root).heard
    assert again == demo.heard
    assert all(b'"version":1' in one.notes for one in again.values())


def test_grace_notes_are_told_and_played(timed: Callable[..., TimedPass], demo: Checked) -> None:
    found = timed("M:4/4\nL:1/4\nK:C\nV:alto\nC2 {ef}D2|", "abc")
    front = next(e.front for e in demo.entries.entries if e.front.tempo)
    data = notes_data("case", front, [Pitch.parse("D4")], found, tune(found, "tonic", []))
    first, second = data["voices"][0]["notes"]
    assert "graces" not in first and second["graces"] == [[12, 6, 16], [6, 6, 17]]
    heard = [(e.id, e.midi) for e in schedule(data, PlaybackOptions(passes=1)) if e.kind == "note"]
    assert heard == [("alto-1", 62), ("alto-2.g1", 78), ("alto-2.g2", 79), ("alto-2", 64)]


def test_phrases_end_where_they_are_measured(
    notes: Mapping[str, dict[str, Any]], demo: Checked
) -> None:
    """The longest phrase of every voice, in seconds, is the one in its facts. A breath takes a
    little from the note before it, and nothing from the phrase."""
    several = 0
    for slug, data in notes.items():
        second = 60 / (data["tempo"] * data["ticks_per_beat"])
        longest = {one.voice: one.longest_phrase_seconds for one in demo.facts[slug].voices}
        for voice in data["voices"]:
            begin, lengths = None, [0.0]
            for note, after in zip_longest(voice["notes"], voice["notes"][1:]):
                begin = note["at"] if begin is None else begin
                ends = note.get("ends_phrase", False)
                end = note["at"] + note["length"] if ends or not after else after["at"]
                lengths.append((end - begin) * second)
                begin = None if ends else begin
                several += ends
            breath = data["ticks_per_beat"] // 4 * second
            assert max(lengths) <= longest[voice["name"]] + 1e-6, (slug, voice["name"])
            assert max(lengths) >= longest[voice["name"]] - breath - 1e-6, (slug, voice["name"])
    assert several > 100
