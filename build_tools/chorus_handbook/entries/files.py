"""Which files of a handbook are exercises, and whether each can be the address of a page."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import shown_path
from chorus_handbook.source.left_behind import is_left_behind
from chorus_handbook.source.names import TAKEN_ADDRESSES, as_name, is_name

FOLDER = "exercises"

_ENDINGS = (".md", ".markdown")


@dataclass(frozen=True, slots=True)
class ExerciseFile:
    """A file that is an exercise, or was meant to be one: with problems, its name is refused."""

    path: Path
    slug: str
    problems: tuple[Problem, ...]


def markdown_files(folder: Path) -> list[Path]:
    """Every Markdown file below a folder in the order of names; hidden ones, and what editors put
    beside their files, left out. Links to folders are not followed."""
    files = (
        Path(place) / name
        for place, folders, names in os.walk(folder)  # passes over what cannot be read: `folders`
        for name in (*folders, *names)
    )
    return sorted(
        path
        for path in files
        if path.suffix.lower() in _ENDINGS
        and not any(
            part.startswith(".") or is_left_behind(part) for part in path.relative_to(folder).parts
        )
    )


def exercise_files(root: Path) -> Iterator[ExerciseFile]:
    """The exercises of the handbook in the folder `root`."""
    files = markdown_files(root / FOLDER)
    good = {path.stem for path in files if _is_address(path, root)}
    for path in files:
        slug, problem = path.stem, None
        if not _is_address(path, root):
            slug, problem = _refused(path, root, good)
        yield ExerciseFile(path, slug, (problem,) if problem else ())


def _is_address(path: Path, root: Path) -> bool:
    name_is_good = is_name(path.stem) and path.suffix == ".md" and path.stem not in TAKEN_ADDRESSES
    return name_is_good and path.parent == root / FOLDER


def _refused(path: Path, root: Path, good: set[str]) -> tuple[str, Problem]:
    """The slug the author may have meant, and what is wrong."""
    place = Place(shown_path(path, root))
    better = as_name(path.stem)
    if path.stem.lower() in good:
        return path.stem.lower(), Problem(
            place,
            "slug-twice",
            f'There is already an exercise "{path.stem.lower()}".',
            "Give this file another name, or delete one of the two.",
        )
    if path.parent != root / FOLDER:
        return better, Problem(
            place,
            "file-name",
            "This exercise is in a folder of its own; all exercises are in one folder.",
            f"Its place is {FOLDER}/{better or 'name'}.md: move it there.",
        )
    such_as = f", such as {better}.md" if better and better not in TAKEN_ADDRESSES else ""
    return better, Problem(
        place,
        "file-name",
        f'"{place.path.rpartition("/")[2]}" cannot be the address of a page.',
        f"Use small letters, digits and hyphens, and the ending .md{such_as}.",
    )
