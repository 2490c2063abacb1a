"""What an adoption is made from and what it results in: the two handbooks, what was decided, and
the exercise made ready.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from chorus_handbook.adopting.words import Word
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.records import Exercise


class AdoptionError(Exception):
    """An exercise cannot be taken over; the message says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two handbooks: its folder, its chorus, its words and its exercises."""

    root: Path
    chorus: Chorus
    vocabulary: Vocabulary
    exercises: Mapping[str, Exercise]


@dataclass(frozen=True, slots=True)
class Choices:
    """What was decided for all exercises that are taken over together.

    slugs: the exercises by name, with the names they get.
    voices: who of ours sings what a voice of theirs sang.
    words: the name in ours of every word of theirs; None for one that is left out.
    titles: other titles, by the name in theirs.
    origin, licence: what is said of all of them instead of what their files say.
    """

    slugs: Mapping[str, str]
    voices: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[Word, str | None] = field(default_factory=dict)
    titles: Mapping[str, str] = field(default_factory=dict)
    origin: str | None = None
    licence: str | None = None


@dataclass(slots=True)
class Adopted:
    """An exercise made ready: its path below the handbook's folder, its text, the other files it
    needs by their paths, and what whoever takes it over should know."""

    page: str
    text: str
    files: dict[str, bytes] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
