"""The kinds of content, in one table, and the folders that hold something else."""

from __future__ import annotations

from typing import Any

from chorus_handbook.chorus.sound_font import FOLDER as SOUNDS
from chorus_handbook.entries.kind import Kind
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.entries.prose import PAGE
from chorus_handbook.entries.static_files import FOLDER as STATIC
from chorus_handbook.entries.warm_up import ROUTINE, WARM_UP

#: Every kind, in the order in which they are read and stand in the menu.
KINDS: tuple[Kind[Any], ...] = (EXERCISE, WARM_UP, ROUTINE, PAGE)

#: Scores from notation editors.
SCORES = "scores"
#: Folders of pages that no file stands for.
GENERATED = frozenset({"views", "goals", "assets"})


def folders() -> frozenset[str]:
    """The folders of kinds that have one."""
    return frozenset(kind.folder for kind in KINDS if kind.folder)


def no_pages() -> frozenset[str]:
    """Folders whose files are never pages of the kind that lies anywhere else."""
    return folders() | {SCORES, SOUNDS, STATIC}
