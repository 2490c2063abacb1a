"""Reads one file of any kind: its fields, its title, its music and its text.

Every Markdown file is read by `read_written`; `read_entry` in the package's `__init__` adds what
only exercises have.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePosixPath

from markupsafe import Markup

from chorus_handbook.entries.body import read_body
from chorus_handbook.entries.fences import mark, readable
from chorus_handbook.entries.front_matter import cut, read_front
from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.placeholders import check_placeholders
from chorus_handbook.entries.rendered import Rendered
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import Document


def read_written(
    kind: Kind[Fields], text: str, slug: str, path: str
) -> tuple[Source, Text[Fields] | None, Document | None, list[Problem]]:
    """Read the `text` of one file; `path` is its name in messages.

    Returns four things: the file as a `Source`; the `Text` with its valid fields, or None when a
    field is wrong; the fields as a YAML document with the place of each, for further checks (None
    when there are no fields); and the problems.
    """
    # Imported late: it is slow, and files whose stored record is up to date are not rendered.
    from chorus_handbook.entries.rendering import render

    parts, problems = cut(text, path, kind)
    front, document = None, None
    if parts.front and parts.front.strip():
        front, document, found = read_front(kind, parts.front, path, parts.front_line)
        problems += found
    if front is None and not kind.required:
        front = kind.fields()  # all its fields are optional
    place = Place(path, parts.body_line)
    body, notation = parts.body, None
    if kind.notation:
        body, notation, found = read_body(parts.body, place)
        problems += found
    rendered, found = render(body, place)
    problems += found
    problems += check_placeholders(text, path, kind)
    title = getattr(front, "title", None)
    if rendered and not kind.notation:
        title, rendered = _own_heading(title, rendered)
    title = title or PurePosixPath(path).stem.replace("-", " ").capitalize()
    places = document.places if document else {}
    prose = readable(mark(body).text) if rendered else ""
    source = Source(slug, path, notation, places, prose, place.line, rendered or Rendered())
    return source, Text(kind.name, source, title, front) if front else None, document, problems


def _own_heading(title: str | None, rendered: Rendered) -> tuple[str | None, Rendered]:
    """If the body begins with a heading of level 1, take that heading out of it, unless the field
    `title` says something else. Returns the title and the body; the page prints the heading from
    the title."""
    first = rendered.sections[0] if rendered.sections else None
    if first is None or first.head is None or first.head.level != 1:
        return title, rendered
    if title not in (None, first.heading):
        return title, rendered
    plain = replace(first, head=None, title=Markup())
    rest = rendered.sections[1:]
    return first.heading, replace(rendered, sections=(plain, *rest) if plain.html else rest)
