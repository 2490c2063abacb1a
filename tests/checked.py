"""A handbook that was checked, with the scores of its exercises: records hold none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from chorus_handbook.cache import Cache
from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.model import Entries, Text
from chorus_handbook.music import read_music
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.score import Score
from chorus_handbook.pipeline import Handbook, read
from chorus_handbook.problems import Problem
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Parts
from chorus_handbook.sound import Heard
from chorus_handbook.views import Views
from chorus_handbook.voices import Ladder


@dataclass(frozen=True)
class Checked:
    """What tests ask of a handbook: everything by slug."""

    book: Handbook
    cache: Cache = field(default_factory=lambda: Cache(None))

    @property
    def root(self) -> Path:
        return self.book.root

    @property
    def config(self) -> ChorusConfig:
        return self.book.config

    @property
    def entries(self) -> Entries:
        return self.book.entries

    @property
    def texts(self) -> tuple[Text[Any], ...]:
        return self.book.texts

    @property
    def views(self) -> Views:
        return self.book.views

    @property
    def problems(self) -> tuple[Problem, ...]:
        return self.book.problems

    @property
    def broken(self) -> bool:
        return self.book.broken

    @property
    def exercises(self) -> Mapping[str, Exercise]:
        return self.book.exercises

    @cached_property
    def parts(self) -> Parts:
        assert self.config.chorus
        return Parts(self.root, self.config.chorus, self.cache)

    @cached_property
    def scores(self) -> Mapping[str, Score]:
        """The scores of all exercises that were measured."""
        chorus = self.config.chorus
        assert chorus
        measured = {slug: e for slug, e in self.exercises.items() if e.facts}
        scores = {
            slug: read_music(e.entry.source, e.front, chorus, self.root)[0].score
            for slug, e in measured.items()
        }
        return {slug: score for slug, score in scores.items() if score}

    @cached_property
    def facts(self) -> Mapping[str, Facts]:
        return {slug: e.facts for slug, e in self.exercises.items() if e.facts}

    @cached_property
    def ladders(self) -> Mapping[str, Ladder]:
        return {slug: e.ladder for slug, e in self.exercises.items() if e.ladder}

    @cached_property
    def heard(self) -> Mapping[str, Heard]:
        """What can be heard of all exercises."""
        heard = {slug: self.parts.heard(e) for slug, e in self.exercises.items()}
        return {slug: one for slug, one in heard.items() if one}


def checked(root: Path, cache: Cache | None = None) -> Checked:
    """The handbook in a folder, checked."""
    cache = cache or Cache(None)
    return Checked(read(root, cache), cache)
