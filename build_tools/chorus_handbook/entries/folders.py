"""The handbook's folders: that each can be read, and that there are exercises.

Listing files passes over a folder that may not be read as if it were empty; a site without the
exercises in it would then take the place of the good one.
"""

from __future__ import annotations

import os
from pathlib import Path

from chorus_handbook.entries.files import markdown_files
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import shown_path


def check_folders(root: Path) -> list[Problem]:
    """What keeps files of the handbook in `root` from being found."""
    problems = [
        Problem(
            Place(_shown(folder, root)),
            "folder-unreadable",
            f"This folder cannot be read ({why}).",
            "Check who may read it.",
        )
        for folder, why in _unreadable(root)
    ]
    missing = None if problems else _no_exercises(root)
    return [*problems, missing] if missing else problems


def _unreadable(root: Path) -> list[tuple[Path, str]]:
    """The folders that cannot be listed, or whose files cannot be reached, each with the reason."""
    failures: list[OSError] = []
    found = []
    for place, folders, files in os.walk(root, onerror=failures.append):
        names = [*folders, *files]
        if names and not os.access(place, os.X_OK):  # its names can be listed, not its files
            found.append((Path(place), "its files cannot be reached"))
    found += [
        (Path(failure.filename), (failure.strerror or "the system refuses").lower())
        for failure in failures
    ]
    return found


def _no_exercises(root: Path) -> Problem | None:
    folder = root / EXERCISE.folder
    hint = f"Write one in {root.name}/{EXERCISE.folder}/; `handbook new` begins it for you."
    if folder.is_dir():
        if markdown_files(folder):
            return None
        message = "The handbook has no exercises: there is no .md file in this folder."
    elif os.path.lexists(folder):
        message = "The handbook has no exercises: this is not a folder."
        hint = f"Give this file another name, and make a folder {EXERCISE.folder}. {hint}"
    else:
        message = "The handbook has no exercises: this folder is missing."
    return Problem(Place(shown_path(folder, root)), "exercises-missing", message, hint)


def _shown(folder: Path, root: Path) -> str:
    return root.name if folder == root else shown_path(folder, root)
