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


HEADERS = {"words", "meter", "mode", "pickup", "octave"}
SCALES = {
    "major": scale.MajorScale,
    "minor": scale.MinorScale,
    "dorian": scale.DorianScale,
    "phrygian": scale.PhrygianScale,
    "lydian": scale.LydianScale,
    "mixolydian": scale.MixolydianScale,
}


def singers(name: str, everyone: list[str], named: set[str]) -> list[str]:
    """The voices behind a name; `named` are those that the block names otherwise."""
    if name == "all":
        return everyone
    if name == "others":
        return [voice for voice in everyone if voice not in named]
    return [v for one in name.split("+") for v in CHORUS["groups"].get(one, [one])]


def independent(slug: str) -> Sounding:
    """The notes of an exercise in its first key, from its text."""
    text = (HANDBOOK / "exercises" / f"{slug}.md").read_text(encoding="utf-8")
    keys = re.search(r"^keys: ([A-G][#b]?)(\d)", text, re.MULTILINE)
    fence = re.search(r"```degrees\n(.*?)```", text, re.DOTALL)
    assert keys and fence
    tonic = pitch.Pitch(keys[1].replace("b", "-") + keys[2])
    header = dict(line.split(":", 1) for line in fence[1].splitlines() if ":" in line)
    mode = SCALES[header.get("mode", "major").strip()](tonic)
    voices = yaml.safe_load(text.split("---")[1]).get("voices", "all")
    stated = [voices] if isinstance(voices, str) else voices
    everyone = [v for name in stated for v in singers(name, list(CHORUS["voices"]), set())]
    beats, _, unit = header.get("meter", "4/4").strip().partition("/")
    compound = unit == "8" and int(beats) in (6, 9, 12)
    beat = Fraction(3, 2) if compound else Fraction(4, int(unit or 4))
    found: Sounding = set()
    start = Fraction(0)
    for block in re.split(r"\n\s*\n", fence[1].strip()):
        lines = [line.split(":", 1) for line in block.splitlines()]
        sung = {n.strip(): t.split() for n, t in lines if n.strip() not in HEADERS}
        if not sung:
            continue
        length = max(
            Fraction(sum(t not in MARKS for t in tokens))
            for tokens in sung.values()
            if "..." not in tokens
        )
        for name, tokens in sung.items():
            named = {v for n in sung if n != "others" for v in singers(n, everyone, set())}
            for voice in singers(name, everyone, named) if name != "leader" else []:
                octave = CHORUS["voices"][voice].get("octave", 0)
                for onset, duration, degree in notes(tokens, length):
                    number = int(degree.strip("#b',"))
                    shift = octave + degree.count("'") - degree.count(",")
                    altered = degree.count("#") - degree.count("b")
                    midi_number = mode.pitchFromDegree(number).midi
                    midi_number += -12 * ((midi_number - tonic.midi) // 12)  # any octave may come
                    sounds = midi_number + 12 * shift + altered
                    found.add((start + beat * onset, beat * duration, sounds))
        start += beat * length
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
    return [(on, length, d) for on, length, d in events if d[0] in "1234567#b"]


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
    if not independent(slug):  # spoken: no pitch to compare, and none may sound as one
        assert all(part.sung == () for part in demo.music.scores[slug].parts)
        return
    assert engraved(slug, demo) == independent(slug)


def test_the_demo_has_notes_to_compare() -> None:
    assert len(NOTATED) >= 9
    assert len(independent("dropping-anchor")) == 8 + 1 + 3 + 3
