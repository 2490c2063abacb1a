"""The types `Record` (all that is known of one file) and `Exercise` (its content, if it is one)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entry, FrontMatter, Source, Text
from chorus_handbook.music.chord_names import NamedChord
from chorus_handbook.music.facts import Facts
from chorus_handbook.problems import Problem
from chorus_handbook.voices import Ladder
from chorus_handbook.voices.load import Load


@dataclass(frozen=True, slots=True)
class Exercise:
    """A valid exercise and what was measured of it, as plain data.

    `facts`, `ladder`, `loads` (by voice) and `chords` are missing where its notation could not be
    measured.
    `answered` are the notices that its author has answered. `drawings` and `sound` are the cache
    keys of those parts (`parts`), empty where there is nothing to draw or to hear.
    """

    entry: Entry
    facts: Facts | None = None
    ladder: Ladder | None = None
    loads: Mapping[str, Load] = field(default_factory=dict)
    chords: tuple[NamedChord, ...] = ()
    answered: tuple[Problem, ...] = ()
    drawings: str = ""
    sound: str = ""

    @property
    def slug(self) -> str:
        return self.entry.slug

    @property
    def front(self) -> FrontMatter:
        return self.entry.front

    @property
    def complete(self) -> bool:
        """Whether its notation, if it has any, could be measured."""
        return self.entry.source.notation is None or self.facts is not None

    def subject(self, config: ChorusConfig) -> Subject:
        """The exercise in the form that checks and lists are given."""
        return Subject(self.entry, None, self.facts, config.chorus, config.vocabulary, self.ladder)


Content = TypeVar("Content")


@dataclass(frozen=True, slots=True)
class Record(Generic[Content]):
    """The result of reading one file; `kind` is the name of its kind.

    `page` is the path of its page; without a `slug` it has none. `problems` are those of the file
    by itself, not those between files. `source` is its text, None if it could not be read or its
    name cannot be the address of a page. `content` is None if its fields have errors.
    """

    kind: str
    slug: str
    page: str
    problems: tuple[Problem, ...] = ()
    source: Source | None = None
    content: Content | None = None


#: A record of an exercise, or of any other kind.
AnyRecord = Record[Exercise] | Record[Text[Any]]
