"""The type `Subject`, which is what checks are given: one exercise with everything known about
it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Entry, FrontMatter
from chorus_handbook.music.facts import Facts, VoiceFacts
from chorus_handbook.music.score import LEADER, Part, Score
from chorus_handbook.problems import Place, Problem
from chorus_handbook.voices import Ladder


@dataclass(frozen=True, slots=True)
class Subject:
    """An exercise as its author wrote it, and the measurements of its music.

    entry: its fields and text.
    score: its music; None when it has none, or none that could be read.
    facts: the measurements of the music; None when it could not be measured.
    chorus, vocabulary: what these two files say; None when they have errors.
    ladder: who can sing which key; None when that could not be measured.
    """

    entry: Entry
    score: Score | None = None
    facts: Facts | None = None
    chorus: Chorus | None = None
    vocabulary: Vocabulary | None = None
    ladder: Ladder | None = None

    @property
    def front(self) -> FrontMatter:
        """The fields of the exercise."""
        return self.entry.front

    def place_of(self, *field: str | int) -> Place:
        """The place of a field in the file; for an item of a list, of the field and the index."""
        return self.entry.source.place_of(*field)

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts of the chorus's voices that have notes, without the leader's."""
        parts = self.score.parts if self.score else ()
        return tuple(part for part in parts if part.voice != LEADER and part.notes)

    @property
    def sounding(self) -> tuple[VoiceFacts, ...]:
        """The facts of the chorus's voices that sing or speak, without the leader's."""
        voices = self.facts.voices if self.facts else ()
        return tuple(v for v in voices if v.voice != LEADER and not v.silent)

    @property
    def voices(self) -> tuple[VoiceFacts, ...]:
        """The facts of the chorus's voices that sing a pitch, without the leader's."""
        voices = self.facts.voices if self.facts else ()
        return tuple(v for v in voices if v.voice != LEADER and v.lowest is not None)


#: A check of one exercise with all that is known about it.
Check = Callable[[Subject], Iterator[Problem]]
#: A check of notation alone: of a score as it was read, before anything else is known.
WrittenCheck = Callable[[Score], Iterator[Problem]]
