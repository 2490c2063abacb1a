"""The table of all kinds of content, and the folders of a handbook that hold something else."""

from __future__ import annotations

from typing import Any

from chorus_handbook.chorus.sound_font import FOLDER as SOUNDS
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.entries.prose import PAGE
from chorus_handbook.entries.static_files import FOLDER as STATIC
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP

#: Every kind, in the order in which they are read and in which they are in the menu.
KINDS: tuple[Kind[Any], ...] = (EXERCISE, WARM_UP, ROUTINE, PAGE)

#: The folder of MusicXML files, which notation editors export.
SCORES = "scores"
#: Folders of the site for what is generated without a file of the author.
GENERATED = frozenset({"views", "goals", "assets"})


def folders() -> frozenset[str]:
    """The folders of all kinds that have one, such as "exercises"."""
    return frozenset(kind.folder for kind in KINDS if kind.folder)


def folders_without_prose() -> frozenset[str]:
    """The folders in which no prose page (a page of free text) can be: those of other kinds of
    content, and those of files that are not text."""
    return folders() | {SCORES, SOUNDS, STATIC}
