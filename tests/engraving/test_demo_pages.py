"""What is engraved on the demo's pages, read back from the engraver's own MIDI, against a reading
of the exercise files that shares no code with the package: pitches by music21."""

from __future__ import annotations

import io
import re
from fractions import Fraction
from pathlib import Path

import mido
import pytest
import yaml
from music21 import pitch, scale

from chorus_handbook import pipeline
from chorus_handbook.engraving.engine import midi
from chorus_handbook.engraving.mei import Show, write_mei
from chorus_handbook.engraving.written import write

HANDBOOK = Path(__file__).parent.parent.parent / "handbook"
NOTATED = sorted(
    path.stem
    for path in (HANDBOOK / "exercises").glob("*.md")
    if "```degrees" in path.read_text(encoding="utf-8")
)
CHORUS = yaml.safe_load((HANDBOOK / "chorus.yml").read_text(encoding="utf-8"))
MARKS = {"v", "v?", "pp", "p", "mp", "mf", "f", "ff", "<", ">", "|"}

Sounding = set[tuple[Fraction, Fraction, int]]
"""Onset and length in quarters, MIDI number."""


def singers(name: str) -> list[str]:
    if name == "all":
        return list(CHORUS["voices"])
    return [v for one in name.split("+") for v in CHORUS["groups"].get(one, [one])]


def independent(slug: str) -> Sounding:
    """The notes of an exercise in its first key, from its text."""
    text = (HANDBOOK / "exercises" / f"{slug}.md").read_text(encoding="utf-8")
    keys = re.search(r"^keys: ([A-G][#b]?)(\d)", text, re.MULTILINE)
    fence = re.search(r"```degrees\n(.*?)```", text, re.DOTALL)
    assert keys and fence
    tonic = pitch.Pitch(keys[1].replace("b", "-") + keys[2])
    major = scale.MajorScale(tonic)
    found: Sounding = set()
    start = Fraction(0)
    for block in re.split(r"\n\s*\n", fence[1].strip()):
        lines = [line.split(":", 1) for line in block.splitlines()]
        sung = {n.strip(): t.split() for n, t in lines if n.strip() not in ("words", "meter")}
        length = max(
            Fraction(sum(t not in MARKS for t in tokens))
            for tokens in sung.values()
            if "..." not in tokens
        )
        for name, tokens in sung.items():
            for voice in singers(name) if name != "leader" else []:
                octave = CHORUS["voices"][voice].get("octave", 0)
                for onset, duration, degree in notes(tokens, length):
                    number = int(degree[0])
                    shift = octave + degree.count("'") - degree.count(",")
                    midi_number = major.pitchFromDegree(number).midi
                    if midi_number < tonic.midi:  # music21 may answer in another octave
                        midi_number += 12
                    found.add((start + onset, duration, midi_number + 12 * shift))
        start += length
    return found


def notes(tokens: list[str], length: Fraction) -> list[tuple[Fraction, Fraction, str]]:
    """Onset, length and degree of the sung notes of one line."""
    now = Fraction(0)
    events: list[list] = []
    for token in tokens:
        if token in MARKS:
            continue
        if token == "...":
            events[-1][1] += length - now
            break
        shares = token.split(".")
        for share in shares:
            part = Fraction(1, len(shares))
            plain = re.sub(r"[~?^]", "", share)
            if plain == "-":
                events[-1][1] += part
            else:
                events.append([now, part, plain])
            now += part
    return [(on, length, d) for on, length, d in events if d[0].isdigit() and d != "0"]


def engraved(slug: str, book: pipeline.Handbook) -> Sounding:
    """The notes of the engraved first key, as the engraver sounds them."""
    chorus = book.setting.chorus
    assert chorus
    written = write(book.music.scores[slug], chorus, {})
    mei = write_mei(written, book.music.facts[slug].keys[0], Show())
    file = mido.MidiFile(file=io.BytesIO(midi(mei)))
    found: Sounding = set()
    for track in file.tracks:
        now = 0
        sounding: dict[int, int] = {}
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                sounding[message.note] = now
            elif message.type in ("note_on", "note_off"):
                onset = sounding.pop(message.note)
                per = file.ticks_per_beat
                found.add((grid(onset, per), grid(now - onset, per), message.note))
    return found


def grid(ticks: int, per_quarter: int) -> Fraction:
    """Ticks as quarters, to the nearest twenty-fourth."""
    return Fraction(round(24 * ticks / per_quarter), 24)


@pytest.fixture(scope="module")
def demo() -> pipeline.Handbook:
    return pipeline.advance(pipeline.begin(HANDBOOK), pipeline.CHECKS)


@pytest.mark.parametrize("slug", NOTATED)
def test_every_engraved_note_is_the_one_in_the_file(slug: str, demo: pipeline.Handbook) -> None:
    if slug == "roll-call":  # spoken: no pitch to compare, and none may sound as one
        assert all(part.sung == () for part in demo.music.scores[slug].parts)
        return
    assert engraved(slug, demo) == independent(slug)


def test_the_demo_has_notes_to_compare() -> None:
    assert len(NOTATED) >= 9
    assert len(independent("dropping-anchor")) == 8 + 1 + 3 + 3
