"""Hand-built exercises for the checks, so that each check is tested without the parser."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entry, FrontMatter, Source
from chorus_handbook.music.facts import Facts, VoiceFacts
from chorus_handbook.music.score import (
    Degree,
    Meter,
    Note,
    Part,
    Rest,
    Score,
    Verse,
    WrittenBar,
    WrittenBlock,
    WrittenLine,
)
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place
from four_parts import CHORUS

PATH = "handbook/exercises/slack-water.md"
FRONT: dict[str, Any] = {
    "title": "Slack water",
    "summary": "A slope on a lip trill.",
    "goals": ["breath-flow"],
    "impact": 3,
    "sounding": "lip-trill",
    "minutes": 3,
}

#: What each mark of `Maker.part` does to the note before it.
MARKS: dict[object, dict[str, Any]] = {
    "v": {"breath": "breath"},
    "v?": {"breath": "staggered"},
    "v? inside": {"staggered": (Fraction(1),)},
    "~": {"glide_at": Fraction(0)},
}


VOCABULARY: dict[str, Any] = {
    "goals": {
        "breath-flow": {"label": "Breath flow", "about": "Even air."},
        "resonance": {"label": "Resonance", "about": "A sound that carries."},
    },
    "soundings": {
        "lip-trill": {"label": "Lip trill", "lowest_impact": 2},
        "calling": {"label": "Calling", "lowest_impact": 4},
    },
    "formations": {"circle": {"label": "In a circle", "diagram": "circle"}},
    "cautions": {"light-headed": {"text": "Sit down if you feel dizzy."}},
    "actions": {"neck": {"label": "Moves the neck", "cautions": ["light-headed"]}},
}


@pytest.fixture(scope="session")
def chorus() -> Chorus:
    return Chorus.model_validate(CHORUS)


@pytest.fixture(scope="session")
def vocabulary() -> Vocabulary:
    return Vocabulary.model_validate(VOCABULARY)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A handbook folder with chorus and vocabulary (JSON is YAML too), and no exercise yet."""
    root = tmp_path / "handbook"
    (root / "exercises").mkdir(parents=True)
    (root / "chorus.yml").write_text(json.dumps(CHORUS), encoding="utf-8")
    (root / "vocabulary.yml").write_text(json.dumps(VOCABULARY), encoding="utf-8")
    return root


class Maker:
    """Builds entries, scores and facts from as little as a check needs."""

    def __init__(self, chorus: Chorus, vocabulary: Vocabulary) -> None:
        self.chorus = chorus
        self.vocabulary = vocabulary

    def entry(self, slug: str = "slack-water", path: str = PATH, **front: Any) -> Entry:
        """Every field of the front matter stands on a line of its own, its items from column 10."""
        fields = FRONT | front
        places: dict[tuple[str | int, ...], Place] = {}
        for line, (name, value) in enumerate(fields.items(), 2):
            places[name,] = Place(path, line, 1)
            keys = range(len(value)) if isinstance(value, list) else value
            for column, key in enumerate(keys if isinstance(value, dict | list) else (), 10):
                places[name, key] = Place(path, line, column)
        source = Source(slug, path, None, places)
        return Entry(source, FrontMatter.model_validate(fields))

    def subject(
        self, score: Score | None = None, facts: Facts | None = None, **front: Any
    ) -> Subject:
        """An exercise with what was measured of it."""
        return Subject(self.entry(**front), score, facts, self.chorus, self.vocabulary)

    def part(self, voice: str, *tokens: Any, octave: int = 0, shares: Sequence[str] = ()) -> Part:
        """A part from degrees or (degree, quarters) pairs: 1 is the tonic, 8 its octave, 0 a rest,
        "x" a spoken beat; the keys of MARKS mark the note before them."""
        events: list[Note | Rest] = []
        onset = Fraction(0)
        for token in tokens:
            if token in MARKS:
                note = events.pop()
                assert isinstance(note, Note)
                events.append(replace(note, **MARKS[token]))
                continue
            degree, length = token if isinstance(token, tuple) else (token, 1)
            duration = Fraction(length)
            place = Place(PATH, 20, len(events) + 1)
            name = f"{voice}-{len(events) + 1}"
            if degree == 0:
                events.append(Rest(onset, duration))
            elif degree == "x":
                events.append(Note(name, onset, duration, spoken="middle", place=place))
            else:
                events.append(Note(name, onset, duration, Degree(degree - 1), place=place))
            onset += duration
        return Part(voice, octave, tuple(events), shares=tuple(shares) or (voice,))

    def score(
        self,
        *parts: Part,
        lines: Sequence[WrittenLine] = (),
        blocks: Sequence[Sequence[WrittenLine]] = (),
        meter: Meter | None = None,
        pickup: int = 0,
    ) -> Score:
        """A score from its parts, or from the written lines of one block or of several."""
        meter = meter or Meter()
        length = max((part.events[-1].end for part in parts), default=Fraction(0))
        starts = [Fraction(0)]
        start = Fraction(pickup) or meter.bar
        while meter.bar and start < length:
            starts.append(start)
            start += meter.bar
        written = tuple(WrittenBlock(tuple(block)) for block in blocks or [lines])
        return Score(meter, "major", Fraction(pickup), length, tuple(starts), parts, blocks=written)

    def line(
        self,
        voice: str,
        *bars: Fraction | int,
        notes: int = 0,
        slots: Sequence[int] = (),
        row: int = 20,
    ) -> WrittenLine:
        """A written line: lengths of bars in quarters, its notes, the slots of its words."""
        return WrittenLine(
            Place(PATH, row),
            tuple(voice.split("+")),
            tuple(
                WrittenBar(Place(PATH, row, 10 * n), Fraction(bar)) for n, bar in enumerate(bars, 1)
            ),
            sum(map(Fraction, bars), Fraction(0)),
            notes,
            tuple(Verse(Place(PATH, row + n), count) for n, count in enumerate(slots, 1)),
        )

    def facts(
        self, voices: dict[str, dict[str, Any]] | None = None, key: str = "C4", **changed: Any
    ) -> Facts:
        """Facts of voices, each told by its own: low, high, intervals, leap, phrase."""
        measured = tuple(_voice_facts(name, given) for name, given in (voices or {}).items())
        chorus = [voice for voice in measured if voice.voice != "leader"]
        defaults: dict[str, Any] = {
            "slug": "slack-water",
            "tempo": 60.0,
            "meter": "4/4",
            "mode": "major",
            "keys": (Pitch.parse(key),),
            "seconds_per_pass": 8.0,
            "length_seconds": 8.0,
            "parts": 1,
            "ambitus_semitones": max((v.ambitus_semitones for v in chorus), default=0),
            "largest_interval": max((v.largest_interval for v in chorus), default=0),
            "largest_leap": max((v.largest_leap for v in chorus), default=0),
            "step_share": None,
            "longest_phrase_seconds": max((v.longest_phrase_seconds for v in chorus), default=0.0),
            "voices": measured,
        }
        return Facts(**(defaults | changed))


def _voice_facts(voice: str, given: dict[str, Any]) -> VoiceFacts:
    low, high = given.get("low", "C4"), given.get("high", "G4")
    lowest = Pitch.parse(low) if low else None
    highest = Pitch.parse(high) if high else None
    sizes: dict[int, int] = given.get("intervals", {})
    largest = max(sizes, default=0)
    phrase = given.get("phrase", 4.0)
    return VoiceFacts(
        voice=voice,
        lowest=lowest,
        highest=highest,
        ambitus_semitones=highest.midi - lowest.midi if lowest and highest else 0,
        notes=sum(sizes.values()) + 1,
        syllables=1,
        spoken_beats=0.0,
        intervals=sizes,
        largest_interval=largest,
        largest_leap=given.get("leap", largest),
        step_share=None,
        longest_phrase_seconds=phrase,
        voiced_seconds=phrase,
    )


@pytest.fixture
def make(chorus: Chorus, vocabulary: Vocabulary) -> Maker:
    return Maker(chorus, vocabulary)
