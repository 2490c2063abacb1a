"""The record of one file: everything that follows from it and from the chorus's own files."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entry, FrontMatter, Source, Text
from chorus_handbook.music.facts import Facts
from chorus_handbook.problems import Problem
from chorus_handbook.voices import Ladder
from chorus_handbook.voices.load import Load


@dataclass(frozen=True, slots=True)
class Exercise:
    """A valid exercise and what is known of it, in plain data.

    `facts`, `ladder` and `loads` (by voice) are there where its notation could be measured.
    `answered` are the notices that its author has answered. `drawings` and `sound` name those
    costly parts in the store (`parts`); empty where there is nothing to draw or to hear.
    """

    entry: Entry
    facts: Facts | None = None
    ladder: Ladder | None = None
    loads: Mapping[str, Load] = field(default_factory=dict)
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
        """Whether all that can be known of its notes is known."""
        return self.entry.source.notation is None or self.facts is not None

    def subject(self, config: ChorusConfig) -> Subject:
        """What lists ask about it."""
        return Subject(self.entry, None, self.facts, config.chorus, config.vocabulary, self.ladder)


Content = TypeVar("Content")


@dataclass(frozen=True, slots=True)
class Record(Generic[Content]):
    """What came of one file of the `kind` of this name.

    `page` is where its page stands, or would; without a `slug` it can have none. `problems` are all
    that this file has by itself. `source` is the text as it was written, None where it could not be
    read or its name cannot be the address of a page; `content` is None where its fields have
    errors.
    """

    kind: str
    slug: str
    page: str
    problems: tuple[Problem, ...] = ()
    source: Source | None = None
    content: Content | None = None


#: A record of an exercise, or of any other kind.
AnyRecord = Record[Exercise] | Record[Text[Any]]
