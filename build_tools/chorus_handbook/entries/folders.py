"""Checks that every folder of the handbook can be read, and that there are exercises.

When files are listed, an unreadable folder is skipped as if it were empty. Without this check, a
site without its exercises would replace the good site.
"""

from __future__ import annotations

import os
from pathlib import Path

from chorus_handbook.entries.files import markdown_files
from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import shown_path


def check_folders(root: Path) -> list[Problem]:
    """Report folders of the handbook in `root` that cannot be read or, if all can be, that it has
    no exercises."""
    problems = [
        Problem(
            Place(_shown(folder, root)),
            "folder-unreadable",
            f"This folder cannot be read ({why}).",
            "Change its permissions so that your user can read it.",
        )
        for folder, why in _unreadable(root)
    ]
    missing = None if problems else _no_exercises(root)
    return [*problems, missing] if missing else problems


def _unreadable(root: Path) -> list[tuple[Path, str]]:
    """The folders that cannot be listed, or whose files cannot be opened, each with the reason."""
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
    """The problem of a handbook without exercises; None if it has any."""
    folder = root / EXERCISE.folder
    hint = (
        f'Write an exercise in the folder "{root.name}/{EXERCISE.folder}/"; "handbook new" makes '
        "a file to begin with."
    )
    if folder.is_dir():
        if markdown_files(folder):
            return None
        message = "The handbook has no exercises: there is no .md file in this folder."
    elif os.path.lexists(folder):
        message = "The handbook has no exercises: this is not a folder."
        hint = f'Give this file another name, and make a folder "{EXERCISE.folder}". {hint}'
    else:
        message = "The handbook has no exercises: this folder is missing."
    return Problem(Place(shown_path(folder, root)), "exercises-missing", message, hint)


def _shown(folder: Path, root: Path) -> str:
    return root.name if folder == root else shown_path(folder, root)
