"""The types `Record` (all that is known of one file) and `Exercise` (its content, if it is one)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Generic, TypeVar

from pydantic import TypeAdapter

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import Entry, FrontMatter, Source, Text
from chorus_handbook.music.chord_names import NamedChord
from chorus_handbook.music.facts import Facts
from chorus_handbook.problems import Problem
from chorus_handbook.voices import Ladder
from chorus_handbook.voices.load import Load


@cache
def ladder_form() -> TypeAdapter[Ladder]:
    """The adapter that writes a ladder as JSON and reads it."""
    return TypeAdapter(Ladder)


@dataclass(frozen=True, slots=True)
class Exercise:
    """A valid exercise with all measurements of its music, as plain data.

    facts: ranges, lengths and the like.
    ladder: its keys, and which voices can sing in each (see `voices/ladder.py`).
    loads: maps each voice to how much it has to sing.
    chords: the chords that sound. These four are empty, or None, if the music could not be
        measured.
    answered: the notices that its author has silenced with the field `answers`.
    drawings, sound: the cache keys of these large parts (see `parts`); empty if there is nothing to
        draw or to hear.
    ladder_json: the ladder as JSON text. It is parsed only when `ladder` is read, because most
        builds need it only for exercises that were edited.
    export_entry, index_entry, planning_entry: its objects in exercises.json, index.json and
        planning.json, as JSON text.
    digest: a hash of everything here; pages that show the whole exercise are made again when it
        changes.
    row: a hash of what lists show of it; lists are made again when it changes.
    """

    entry: Entry
    facts: Facts | None = None
    ladder_json: str = ""
    loads: Mapping[str, Load] = field(default_factory=dict)
    chords: tuple[NamedChord, ...] = ()
    answered: tuple[Problem, ...] = ()
    drawings: str = ""
    sound: str = ""
    export_entry: str = ""
    index_entry: str = ""
    planning_entry: str = ""
    digest: str = ""
    row: str = ""

    @property
    def ladder(self) -> Ladder | None:
        """Who can sing which key. It is parsed from `ladder_json` each time."""
        return ladder_form().validate_json(self.ladder_json) if self.ladder_json else None

    @property
    def slug(self) -> str:
        return self.entry.slug

    @property
    def front(self) -> FrontMatter:
        return self.entry.front

    @property
    def source(self) -> Source:
        return self.entry.source

    @property
    def complete(self) -> bool:
        """Whether its notation, if it has any, could be measured."""
        return self.entry.source.notation is None or self.facts is not None

    def subject(self, config: ChorusConfig) -> Subject:
        """The exercise as the checks and lists read it, without its score and ladder."""
        return Subject(self.entry, None, self.facts, config.chorus, config.vocabulary, None)


Content = TypeVar("Content")


@dataclass(frozen=True, slots=True)
class Record(Generic[Content]):
    """The result of reading one file.

    kind: what a file of this kind is called, such as "exercise".
    slug: the file's name without its ending; empty if no page can be made of it.
    page: the path of its page below the handbook's folder.
    problems: those of the file by itself, not those between files.
    source: its text; None if it could not be read or its name cannot be the address of a page.
    content: its exercise or other content; None if its fields have errors.
    """

    kind: str
    slug: str
    page: str
    problems: tuple[Problem, ...] = ()
    source: Source | None = None
    content: Content | None = None


#: A record of an exercise, or of any other kind.
AnyRecord = Record[Exercise] | Record[Text[Any]]
