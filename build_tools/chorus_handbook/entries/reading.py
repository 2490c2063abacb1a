"""A file of any kind, read: its fields, its title, its body."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from chorus_handbook.entries.body import read_body, read_sections
from chorus_handbook.entries.front_matter import cut, read_front
from chorus_handbook.entries.kind import Fields, Kind
from chorus_handbook.entries.model import Notation, Section, Source, Text
from chorus_handbook.entries.placeholders import check_placeholders
from chorus_handbook.entries.safety import check_safety
from chorus_handbook.entries.weight import check_weight
from chorus_handbook.problems import Place, Problem
from chorus_handbook.source import Document

_FIRST_HEADING = re.compile(r"\A\s*#[ \t]+(.+?)[ \t]*#*[ \t]*(?:\n|\Z)")


def read_written(
    kind: Kind[Fields], text: str, slug: str, path: str
) -> tuple[Source, Text[Fields] | None, Document | None, list[Problem]]:
    """Read the text of one file; `path` is its name in messages. With what came of it: the fields
    with their places, for checks that only one kind has."""
    parts, problems = cut(text, path, kind)
    front, document = None, None
    if parts.front and parts.front.strip():
        front, document, found = read_front(kind, parts.front, path, parts.front_line)
        problems += found
    if front is None and not kind.required:
        front = kind.fields()  # it can do without
    place = Place(path, parts.body_line)
    body, notation = parts.body, None
    sections: tuple[Section, ...] = ()
    if kind.notation:
        body, notation, sections, found = _with_notation(body, place)
        problems += found
    # What is too heavy for Markdown is too heavy to be searched for tags and links as well.
    heavy = check_weight(body, place)
    problems += heavy or check_safety(body, place)
    problems += check_placeholders(text, path, kind)
    title = getattr(front, "title", None)
    if heavy:
        sections = ()
    elif not kind.notation:
        title, body = _heading(title, body)
        sections = read_sections(body, place) if kind.sections else _whole(body, place)
    title = title or PurePosixPath(path).stem.replace("-", " ").capitalize()
    source = Source(slug, path, sections, notation, document.places if document else {})
    return source, Text(kind.name, source, title, front) if front else None, document, problems


def _with_notation(
    text: str, place: Place
) -> tuple[str, Notation | None, tuple[Section, ...], list[Problem]]:
    body, problems = read_body(text, place.path, place.line)
    return body.text, body.notation, body.sections, problems


def _heading(title: str | None, body: str) -> tuple[str | None, str]:
    """The title, and the body without it: the page's own heading is made from its title; the same
    again would stand there twice."""
    found = _FIRST_HEADING.match(body)
    if not found or title not in (None, found[1]):
        return title, body
    return found[1], "\n" * found[0].count("\n") + body[found.end() :]


def _whole(body: str, place: Place) -> tuple[Section, ...]:
    return (Section("", body, place),) if body.strip() else ()
