"""Files into validated exercises, with the place of everything kept.

`files` lists the exercises, `folders` looks whether all can be found; `front_matter` cuts off and
reads the fields, `body` the sections and the notation; `safety` and `weight` hold the body against
what contributors must not write. `prose` reads the pages that are no exercises, `links` what leads
from one to another, `static_files` what is published as it is. `cautions`, `schema` and `draft`
say what follows from the fields.
"""

from __future__ import annotations

from chorus_handbook.entries.body import read_body
from chorus_handbook.entries.front_matter import cut, needs, read_front
from chorus_handbook.entries.model import Entry, Notation, Source
from chorus_handbook.entries.placeholders import check_placeholders
from chorus_handbook.entries.safety import check_safety
from chorus_handbook.entries.weight import check_weight
from chorus_handbook.problems import Place, Problem


def read_entry(text: str, slug: str, path: str) -> tuple[Source, Entry | None, list[Problem]]:
    """Read the text of one exercise file; `path` is its name in messages."""
    parts, problems = cut(text, path)
    body, found = read_body(parts.body, path, parts.body_line)
    problems += found
    place = Place(path, parts.body_line)
    # What is too heavy for Markdown is too heavy to be searched for tags and links as well.
    heavy = check_weight(body.text, place)
    problems += heavy or check_safety(body.text, place)
    problems += check_placeholders(text, path)
    front, document = None, None
    if parts.front and parts.front.strip():
        front, document, found = read_front(parts.front, path, parts.front_line)
        problems += found
    notation = body.notation
    if front and front.score and document:
        at = document.place_of("score")
        if notation:
            problems.append(
                Problem(
                    at,
                    "fence",
                    "The music is given twice: here and in a fence.",
                    "Delete the field score, or the fence.",
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
