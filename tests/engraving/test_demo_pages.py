"""What is engraved on the demo's pages, read back from the engraver's own MIDI, against a reading
of the exercise files that shares no code with the package: pitches by music21."""

from __future__ import annotations

import io
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import mido
import pytest
import yaml
from music21 import pitch, scale

from checked import Checked
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
HEADER = {"meter", "mode", "pickup", "words"}

MODES = {
    "major": (0, 2, 4, 5, 7, 9, 11),
    "minor": (0, 2, 3, 5, 7, 8, 10),
    "dorian": (0, 2, 3, 5, 7, 9, 10),
    "phrygian": (0, 1, 3, 5, 7, 8, 10),
    "lydian": (0, 2, 4, 6, 7, 9, 11),
    "mixolydian": (0, 2, 4, 5, 7, 9, 10),
}
"""Semitones of the seven degrees above the tonic: common practice, minor the natural one."""

MUSIC21_SCALES: dict[str, Any] = {
    "major": scale.MajorScale,
    "minor": scale.MinorScale,
    "dorian": scale.DorianScale,
    "phrygian": scale.PhrygianScale,
    "lydian": scale.LydianScale,
    "mixolydian": scale.MixolydianScale,
}

SPOKEN = 0
"""The MIDI number with which the engraver writes a head without a pitch. No voice sings so low."""

Sounding = set[tuple[Fraction, Fraction, int]]
"""Onset and length in quarters, MIDI number."""


def singers(name: str) -> list[str]:
    if name == "all":
        return list(CHORUS["voices"])
    return [v for one in name.split("+") for v in CHORUS["groups"].get(one, [one])]


def own_octave(voice: str) -> int:
    singer = CHORUS["leader"] if voice == "leader" else CHORUS["voices"][voice]
    return int(singer.get("octave", 0))


def quarters_a_beat(meter: str) -> Fraction:
    """A dotted quarter in compound time, else the meter's lower number."""
    if meter in ("6/8", "9/8", "12/8"):
        return Fraction(3, 2)
    return Fraction(4, int(meter.split("/")[1]))


def written_voices(lines_of: dict[str, tuple[str | None, ...]]) -> set[str]:
    """One voice of all that sing the same lines: the first with a treble clef, else the first."""
    chosen: dict[tuple[str | None, ...], str] = {}
    for voice in (*CHORUS["voices"], "leader"):
        lines = ("leader",) if voice == "leader" else lines_of[voice]
        first = chosen.setdefault(lines, voice)
        if clef(first) != "treble" == clef(voice):
            chosen[lines] = voice
    return set(chosen.values())


def clef(voice: str) -> str:
    return "treble" if voice == "leader" else str(CHORUS["voices"][voice]["clef"])


def read(text: str) -> Sounding:
    """The notes of an exercise file in its first key, as written: once for voices that sing the
    same line. A pickup moves bar lines only, so it changes nothing here; a fermata is drawn, not
    stretched."""
    keys = re.search(r"^keys: ([A-G][#b]?)(\d)", text, re.MULTILINE)
    fences = re.findall(r"```degrees\n(.*?)```", text, re.DOTALL)
    assert keys and len(fences) == 1
    tonic = pitch.Pitch(keys[1].replace("b", "-") + keys[2]).midi
    lines = [line.partition(":") for line in fences[0].splitlines()]
    header = {name.strip(): value.strip() for name, _, value in lines if name.strip() in HEADER}
    beat = quarters_a_beat(header.get("meter", "4/4"))
    mode = header.get("mode", "major")
    blocks = []
    for block in re.split(r"\n\s*\n", fences[0].strip()):
        named = [line.partition(":") for line in block.splitlines()]
        blocks.append({n.strip(): t.split() for n, _, t in named if n.strip() not in HEADER})
    written = written_voices(
        {
            voice: tuple(next((n for n in sung if voice in singers(n)), None) for sung in blocks)
            for voice in (*CHORUS["voices"], "leader")
        }
    )
    found: Sounding = set()
    start = Fraction(0)
    for sung in blocks:
        length = max(
            Fraction(sum(t not in MARKS for t in tokens))
            for tokens in sung.values()
            if "..." not in tokens
        )
        for name, tokens in sung.items():
            for voice in written.intersection(singers(name)):
                own = tonic + 12 * own_octave(voice)
                for onset, duration, share in notes(tokens, length):
                    number = SPOKEN if share[0] == "x" else own + semitones(share, mode)
                    found.add(((start + onset) * beat, duration * beat, number))
        start += length
    return found


def semitones(share: str, mode: str) -> int:
    """A written degree as semitones above the tonic of its line."""
    parts = re.fullmatch(r"([#b]?)([1-7])('*|,*)", share)
    assert parts, share
    accidental, degree, octaves = parts.groups()
    altered = {"#": 1, "b": -1, "": 0}[accidental]
    return MODES[mode][int(degree) - 1] + altered + 12 * (octaves.count("'") - octaves.count(","))


def notes(tokens: list[str], length: Fraction) -> list[tuple[Fraction, Fraction, str]]:
    """Onset and length in beats, and the text, of the sung and spoken notes of one line."""
    now = Fraction(0)
    events: list[tuple[Fraction, Fraction, str]] = []

    def prolong(by: Fraction) -> None:
        onset, so_far, text = events.pop()
        events.append((onset, so_far + by, text))

    for token in tokens:
        if token in MARKS:
            continue
        if token == "...":
            prolong(length - now)
            break
        shares = token.split(".")
        for share in shares:
            part = Fraction(1, len(shares))
            plain = re.sub(r"[~?^]", "", share)
            if plain == "-":
                prolong(part)
            else:
                events.append((now, part, plain))
            now += part
    return [event for event in events if event[2] != "0"]


def independent(slug: str) -> Sounding:
    return read((HANDBOOK / "exercises" / f"{slug}.md").read_text(encoding="utf-8"))


def engraved(slug: str, book: Checked) -> Sounding:
    """The notes of the engraved first key, as the engraver sounds them."""
    chorus = book.config.chorus
    assert chorus
    written = write(book.scores[slug].written, chorus, {})
    mei = write_mei(written, book.facts[slug].keys[0], Show())
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


@pytest.mark.parametrize("slug", NOTATED)
def test_every_engraved_note_is_the_one_in_the_file(slug: str, demo: Checked) -> None:
    assert engraved(slug, demo) == independent(slug)


@pytest.mark.parametrize("mode", MODES)
def test_the_modes_written_here_are_those_of_music21(mode: str) -> None:
    tonic = pitch.Pitch("D4")
    rungs = MUSIC21_SCALES[mode](tonic).getPitches("D4", "C#5")
    assert tuple(rung.midi - tonic.midi for rung in rungs) == MODES[mode]


def test_the_demo_has_notes_to_compare() -> None:
    assert len(NOTATED) >= 30
    assert len(independent("dropping-anchor")) == 8 + 1 + 3 + 3


@pytest.mark.parametrize(
    ("slug", "onset", "length", "number"),
    [
        ("lead-line", 1, 1, 65),  # 3 of D minor for the soprano: F4
        ("harbour-fog", 18, 3, 61),  # #7, of D minor: C#4
        ("letting-out-the-chain", 2, 2, 68),  # #5 of C major: G#4
        ("ratlines", 0, 1, 55),  # the pickup, 5, of C major, written for the soprano: G3
        ("ratlines", 1, 2, 72),  # the first full bar, 1' for the soprano: C5
        ("skipping-stones", 3, Fraction(1, 2), 67),  # 6/8: the second bar, 5 of C major: G4
        ("two-strokes", 0, Fraction(1, 2), SPOKEN),  # 6/8: a third of a dotted quarter
    ],
)
def test_the_reading_finds_what_was_worked_out_by_hand(
    slug: str, onset: int, length: Fraction, number: int
) -> None:
    assert (Fraction(onset), Fraction(length), number) in independent(slug)


@pytest.mark.parametrize("slug", ["loading-the-hold", "roll-call", "steam-launch", "two-strokes"])
def test_spoken_exercises_sound_no_pitch(slug: str, demo: Checked) -> None:
    assert {number for _, _, number in independent(slug)} == {SPOKEN}
    assert all(part.sung == () for part in demo.scores[slug].parts)
