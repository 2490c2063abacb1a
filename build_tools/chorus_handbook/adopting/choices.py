"""The types for adopting exercises: the two handbooks (`Side`), the decisions (`Choices`), and the
result (`Adopted`). "Theirs" is the other handbook, "ours" the one that gets the exercises.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from chorus_handbook.adopting.words import Word
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.records import Exercise


class AdoptionError(Exception):
    """An exercise cannot be adopted; the message says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two handbooks: its folder, chorus, vocabulary and exercises."""

    root: Path
    chorus: Chorus
    vocabulary: Vocabulary
    exercises: Mapping[str, Exercise]


@dataclass(frozen=True, slots=True)
class Choices:
    """The decisions for all exercises that are adopted together.

    slugs: maps the slug that each exercise has in the other handbook to its slug in ours.
    voices: maps each voice of the other chorus to the voice of our chorus that sings its line.
    words: maps each word of the other vocabulary to its name in ours; to None if it is left out.
    titles: maps the slug that an exercise has in the other handbook to its new title, for
        exercises that get one.
    origin, licence: if not None, written into all the files in place of what they say.
    """

    slugs: Mapping[str, str]
    voices: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[Word, str | None] = field(default_factory=dict)
    titles: Mapping[str, str] = field(default_factory=dict)
    origin: str | None = None
    licence: str | None = None


@dataclass(slots=True)
class Adopted:
    """An exercise converted for our handbook: the path of its file below the handbook's folder, the
    text of the file, the contents of other files that it needs, keyed by their paths, and remarks
    about the changes for the person who adopts it."""

    page: str
    text: str
    files: dict[str, bytes] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
