"""What checks read: one exercise with everything that is known about it."""

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
    """An exercise as written, and what was measured of it.

    `score` is None without notation that could be read to its end, `facts` and `ladder` when it
    could not be measured, `chorus` and `vocabulary` when their files have errors. A check skips
    what is missing.
    """

    entry: Entry
    score: Score | None = None
    facts: Facts | None = None
    chorus: Chorus | None = None
    vocabulary: Vocabulary | None = None
    ladder: Ladder | None = None

    @property
    def front(self) -> FrontMatter:
        return self.entry.front

    def place_of(self, *field: str | int) -> Place:
        """Where a field of the front matter stands."""
        return self.entry.source.place_of(*field)

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts in which voices of the chorus have notes; the leader stands apart."""
        parts = self.score.parts if self.score else ()
        return tuple(part for part in parts if part.voice != LEADER and part.notes)

    @property
    def sounding(self) -> tuple[VoiceFacts, ...]:
        """The facts of the chorus's voices that sing or speak; the leader stands apart."""
        voices = self.facts.voices if self.facts else ()
        return tuple(v for v in voices if v.voice != LEADER and not v.silent)

    @property
    def voices(self) -> tuple[VoiceFacts, ...]:
        """The facts of the chorus's voices that sing a pitch; the leader stands apart."""
        voices = self.facts.voices if self.facts else ()
        return tuple(v for v in voices if v.voice != LEADER and v.lowest is not None)


#: A check on one exercise.
Check = Callable[[Subject], Iterator[Problem]]
#: A check on notation alone, as it was written.
WrittenCheck = Callable[[Score], Iterator[Problem]]
