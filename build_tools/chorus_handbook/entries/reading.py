"""Reads one file of any kind: its fields, its title, its music and its text.

This is the path of every Markdown file; `read_entry` in the package adds what only exercises have.
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
    field is wrong; the fields as a YAML document, with the place of each, for checks of one kind
    (None when there is none); and everything that is wrong.
    """
    from chorus_handbook.entries.rendering import render  # late: a stored record needs none

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
    """Take the title from a heading at the top of the body, if it is missing or says the same.

    Returns the title and the body without that heading, which the page prints from its title.
    """
    first = rendered.sections[0] if rendered.sections else None
    if first is None or first.head is None or first.head.level != 1:
        return title, rendered
    if title not in (None, first.heading):
        return title, rendered
    plain = replace(first, head=None, title=Markup())
    rest = rendered.sections[1:]
    return first.heading, replace(rendered, sections=(plain, *rest) if plain.html else rest)
