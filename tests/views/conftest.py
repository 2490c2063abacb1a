"""A small stock of exercises, built by hand, and views.yml texts to sort them with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entries, Entry, FrontMatter, Notation, Source
from chorus_handbook.music.facts import Facts, VoiceFacts
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Place, Problem
from chorus_handbook.views import Views, read_views

FRONT: dict[str, Any] = {
    "summary": "A summary.",
    "goals": ["blend"],
    "impact": 2,
    "sounding": "hum",
    "minutes": 3,
}
VOICE = VoiceFacts(
    voice="alto",
    lowest=Pitch.parse("C4"),
    highest=Pitch.parse("G4"),
    ambitus_semitones=7,
    notes=5,
    syllables=5,
    spoken_beats=0.0,
    intervals={2: 3, 1: 1},
    largest_interval=2,
    largest_leap=2,
    step_share=1.0,
    longest_phrase_seconds=4.0,
    voiced_seconds=5.0,
)
FACTS = Facts(
    slug="",
    tempo=60.0,
    meter="4/4",
    mode="major",
    keys=(Pitch.parse("C4"), Pitch.parse("Db4")),
    seconds_per_pass=4.0,
    length_seconds=12.0,
    parts=1,
    ambitus_semitones=7,
    largest_interval=2,
    largest_leap=2,
    step_share=1.0,
    longest_phrase_seconds=4.0,
    voices=(),
)


@pytest.fixture(scope="session")
def config() -> ChorusConfig:
    voices = ("soprano", "treble", 0), ("alto", "treble", 0), ("bass", "bass", -1)
    chorus = Chorus.model_validate(
        {
            "name": "Tidewater Chorus",
            "voices": {
                name: {
                    "label": name.title(),
                    "clef": clef,
                    "octave": octave,
                    "comfortable": "C4 to C5",
                    "limits": "A3 to E5",
                }
                for name, clef, octave in voices
            },
            "groups": {"upper": ["soprano", "alto"]},
        }
    )
    vocabulary = Vocabulary.model_validate(
        {
            "goals": {
                name: {"label": name.title(), "about": "A goal."}
                for name in ("resonance", "blend", "tuning")
            },
            "soundings": {
                "hum": {"label": "Hum", "lowest_impact": 2},
                "lip-trill": {
                    "label": "Lip trill",
                    "lowest_impact": 2,
                    "cautions": ["light-headed"],
                },
            },
            "formations": {"circle": {"label": "In a circle", "diagram": "circle"}},
            "cautions": {"light-headed": {"text": "Sit down if you feel dizzy."}},
        }
    )
    return ChorusConfig(chorus, vocabulary)


class Stock:
    """A handbook in a folder: exercises by hand, views.yml as text."""

    def __init__(self, root: Path, config: ChorusConfig) -> None:
        self.root = root
        self.config = config
        self._entries: list[Entry] = []
        self._facts: dict[str, Facts] = {}

    def add(
        self,
        slug: str,
        facts: Mapping[str, Any] | None = None,
        sung_by: str = "",
        *,
        spoken: bool = False,
        **front: Any,
    ) -> None:
        """One exercise; with `facts` or `sung_by` (voices apart by blanks) it has notation."""
        path = f"{self.root.name}/exercises/{slug}.md"
        sung = facts is not None or bool(sung_by)
        notation = Notation("degrees", "", Place(path, 10)) if sung else None
        fields = FRONT | {"title": slug.replace("-", " ").capitalize()} | front
        source = Source(slug, path, notation, {})
        self._entries.append(Entry(source, FrontMatter.model_validate(fields)))
        if not sung:
            return
        voices = (sung_by or "alto").split()
        voice_facts = replace(VOICE, lowest=None, highest=None) if spoken else VOICE
        measured = tuple(replace(voice_facts, voice=voice) for voice in voices)
        self._facts[slug] = replace(FACTS, slug=slug, voices=measured, **(facts or {}))

    def read(self, views: str | None = None) -> tuple[Views, list[Problem]]:
        """The stage's result for this text of views.yml."""
        if views is not None:
            (self.root / "views.yml").write_text(views, encoding="utf-8")
        entries = Entries(
            tuple(entry.source for entry in self._entries),
            tuple(self._entries),
            frozenset(entry.slug for entry in self._entries),
        )
        chorus, vocabulary = self.config.chorus, self.config.vocabulary
        subjects = [
            Subject(entry, None, self._facts.get(entry.slug), chorus, vocabulary)
            for entry in self._entries
        ]
        complete = all(e.source.notation is None or e.slug in self._facts for e in self._entries)
        return read_views(self.root, entries, subjects, self.config, complete=complete)


@pytest.fixture
def stock(tmp_path: Path, config: ChorusConfig) -> Stock:
    root = tmp_path / "handbook"
    root.mkdir()
    return Stock(root, config)
