"""Recognises files that were meant as exercises, by their fields, although they are in a wrong
folder or have a wrong ending."""

from __future__ import annotations

import re
from pathlib import Path

from chorus_handbook.entries.model import EXERCISE
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import shown_path
from chorus_handbook.source.names import as_name

#: Fields that only exercises have. A file with two of them was meant as an exercise.
_OF_EXERCISES = frozenset("goals impact sounding minutes tempo keys".split())
_FIELD = re.compile(r"([a-z_]+)[ \t]*:.*")
#: A line of hyphens above or below the fields.
_RULE = re.compile(r"-{3,}[ \t]*")


def looks_like_exercise(text: str) -> bool:
    """Whether a text begins with fields of an exercise, with or without lines of hyphens around
    them."""
    found: set[str] = set()
    lines = text.strip().splitlines()
    ruled = bool(lines) and _RULE.fullmatch(lines[0]) is not None
    for line in lines[1:] if ruled else lines:
        field = _FIELD.fullmatch(line)
        if _RULE.fullmatch(line) or not (ruled or field or line.startswith((" ", "-"))):
            break
        found |= {field[1]} & _OF_EXERCISES if field else set()
    return len(found) > 1


def out_of_place(path: Path, root: Path) -> Problem:
    """The problem of an exercise that is not read because of its folder or its name."""
    better = as_name(path.name.partition(".")[0]) or "name"
    return Problem(
        Place(shown_path(path, root)),
        "file-place",
        "This file looks like an exercise, but under this name or in this folder it is not read.",
        f'Move or rename it to "{root.name}/{EXERCISE.folder}/{better}.md".',
    )
