"""Pages that authors write whole: every .md file that is no exercise, warm-up or routine.

They may begin with a field `title:` between two --- lines; without one, their first heading or
the file's name serves.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from chorus_handbook.chorus.model import Line, Model
from chorus_handbook.entries.files import markdown_files
from chorus_handbook.entries.front_matter import cut
from chorus_handbook.entries.safety import check_safety
from chorus_handbook.entries.weight import check_weight
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import read_text, read_yaml, shown_path, validate

#: Folders whose files are something else than pages.
_OTHER = {"exercises", "scores", "warmups", "routines", "static"}
#: Folders of generated pages, which authors' pages must not cover.
_GENERATED = {"views", "goals", "assets"}
_FIRST_HEADING = re.compile(r"\A\s*#[ \t]+(.+?)[ \t]*#*[ \t]*(?:\n|\Z)")


@dataclass(frozen=True, slots=True)
class ProsePage:
    """A page as its author wrote it; `path` is relative to the handbook, `place` its first line
    of Markdown."""

    path: str
    title: str
    markdown: str
    place: Place


@dataclass(frozen=True, slots=True)
class Prose:
    """All pages that authors write whole."""

    pages: tuple[ProsePage, ...] = ()


class _Fields(Model):
    title: Line | None = None


def read_prose(root: Path) -> tuple[Prose, list[Problem]]:
    """Read every page below `root` that is not an entry of another kind."""
    pages: list[ProsePage] = []
    problems: list[Problem] = []
    for file in markdown_files(root):
        relative = file.relative_to(root)
        if relative.parts[0] in _OTHER:
            continue
        if relative.parts[0] in _GENERATED:
            problems.append(
                Problem(
                    Place(shown_path(file, root)),
                    "file-name",
                    f'The folder "{relative.parts[0]}" is for generated pages.',
                    "Move this page to another folder.",
                )
            )
            continue
        page, found = _read(file, relative.as_posix(), shown_path(file, root))
        problems += found
        pages += [page] if page else []
    return Prose(tuple(pages)), problems


def _read(file: Path, path: str, shown: str) -> tuple[ProsePage | None, list[Problem]]:
    text, problems = read_text(file, shown)
    if text is None:
        return None, problems
    title, body, first_line = None, text, 1
    if text.startswith("---"):
        parts, found = cut(text, shown)
        body, first_line = parts.body, parts.body_line
        problems += found
        if parts.front:
            document, found = read_yaml(parts.front, Place(shown), parts.front_line)
            problems += found
            if document:
                fields, found = validate(_Fields, document)
                problems += found
                title = fields.title if fields else None
    place = Place(shown, first_line)
    heavy = check_weight(body, place)
    problems += heavy or check_safety(body, place)
    body = "" if heavy else body
    heading = _FIRST_HEADING.match(body)
    if heading and title in (None, heading[1]):
        # The page's own heading is made from its title; the same again would stand there twice.
        title = heading[1]
        body = "\n" * heading[0].count("\n") + body[heading.end() :]
    title = title or file.stem.replace("-", " ").capitalize()
    return ProsePage(path, title, body, place), problems
