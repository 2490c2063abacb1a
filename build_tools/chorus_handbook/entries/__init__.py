"""Stage 2: files into validated exercises, with the place of everything kept.

`front_matter` cuts off and reads the fields, `body` the sections and the notation, `safety` and
`weight` hold the body against what contributors must not write; `prose` reads the pages that are
no exercises, `links` what leads from one to another. `cautions`, `schema` and `draft` say what
follows from the fields.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from chorus_handbook.entries.body import read_body
from chorus_handbook.entries.front_matter import cut, needs, read_front
from chorus_handbook.entries.model import Entries, Entry, Notation, Source
from chorus_handbook.entries.safety import check_safety
from chorus_handbook.entries.weight import check_weight
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import read_text
from chorus_handbook.source.names import as_name, is_name

__all__ = ["Entries", "read_entries"]

FOLDER = "exercises"


def read_entries(root: Path) -> tuple[Entries, list[Problem]]:
    """Read every exercise of the handbook in the folder `root`."""
    sources: list[Source] = []
    entries: list[Entry] = []
    slugs: set[str] = set()
    problems: list[Problem] = []
    for file, slug, refused in _files(root):
        if refused:
            problems.append(refused)
            continue
        slugs.add(slug)
        text, found = read_text(file, f"{root.name}/{FOLDER}/{file.name}")
        problems += found
        if text is None:
            continue
        source, entry, found = read_entry(text, slug, f"{root.name}/{FOLDER}/{file.name}")
        problems += found
        sources.append(source)
        entries += [entry] if entry else []
    return Entries(tuple(sources), tuple(entries), frozenset(slugs)), problems


def read_entry(text: str, slug: str, path: str) -> tuple[Source, Entry | None, list[Problem]]:
    """Read the text of one exercise file; `path` is its name in messages."""
    parts, problems = cut(text, path)
    body, found = read_body(parts.body, path, parts.body_line)
    problems += found
    place = Place(path, parts.body_line)
    # What is too heavy for Markdown is too heavy to be searched for tags and links as well.
    heavy = check_weight(body.text, place)
    problems += heavy or check_safety(body.text, place)
    front, document = None, None
    if parts.front and parts.front.strip():
        front, document, found = read_front(parts.front, path)
        problems += found
    notation = body.notation
    if front and front.score and document:
        at = document.place_of("score")
        if notation:
            problems.append(
                Problem(
                    at,
                    "fence",
                    "The notation stands here and in a fence.",
                    "Keep one: the field score, or the fence.",
                )
            )
        else:
            notation = Notation("score", front.score, at)
    if front and document:
        missing = needs(front, document, notation is not None)
        problems += missing
        front = None if missing else front
    sections = () if heavy else body.sections
    source = Source(slug, path, sections, notation, document.places if document else {})
    return source, Entry(source, front) if front else None, problems


def _files(root: Path) -> Iterator[tuple[Path, str, Problem | None]]:
    """Every exercise file with its slug, or with what is wrong with its name."""
    folder = root / FOLDER
    files = sorted(p for p in folder.rglob("*.md") if not p.name.startswith("."))
    good = {p.stem for p in files if p.parent == folder and is_name(p.stem)}
    for file in files:
        slug = file.stem
        place = Place(f"{root.name}/{file.relative_to(root).as_posix()}")
        if file.parent == folder and is_name(slug) and slug != "index":
            yield file, slug, None
        elif slug.lower() in good and slug != "index":
            message = f'There is already an exercise "{slug.lower()}".'
            hint = "Give this file another name, or delete one of the two."
            yield file, slug, Problem(place, "slug-twice", message, hint)
        elif file.parent != folder:
            message = "Exercises stand side by side in one folder, not in folders of their own."
            yield file, slug, Problem(place, "file-name", message, f"Move it to {FOLDER}/.")
        else:
            better = as_name(slug)
            message = f'"{file.name}" cannot be the address of a page.'
            hint = "Use small letters, digits and hyphens" + (
                f", such as {better}.md." if better and better != "index" else "."
            )
            yield file, slug, Problem(place, "file-name", message, hint)
