"""Files into validated content, with the place of everything kept.

`kind` says what a kind of content is, `kinds` which there are. `files` lists their files, `folders`
looks whether all can be found; `reading` reads one of any kind: `front_matter` cuts off and reads
the fields, `body` cuts out the notation, `rendering` makes the rest safe HTML (by `conversion` and
`sanitise`) and tells what must not stand in it, or is too much (`limits`). `links` looks at what
leads from one page to another, `static_files` at what is published as it is. `cautions`, `schema`
and `draft` say what follows from the fields of an exercise.
"""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.entries.front_matter import needs
from chorus_handbook.entries.model import EXERCISE, Entry, Notation, Source
from chorus_handbook.entries.reading import read_written
from chorus_handbook.problems import Problem


def read_entry(text: str, slug: str, path: str) -> tuple[Source, Entry | None, list[Problem]]:
    """Read the text of one exercise file; `path` is its name in messages."""
    source, written, document, problems = read_written(EXERCISE, text, slug, path)
    front = written.front if written else None
    if front and front.score and document:
        at = document.place_of("score")
        if source.notation:
            problems.append(
                Problem(
                    at,
                    "fence",
                    "The music is given twice: here and in a fence.",
                    "Delete the field score, or the fence.",
                )
            )
        else:
            source = replace(source, notation=Notation("score", front.score, at))
    if front and document:
        missing = needs(front, document, source.notation is not None)
        problems += missing
        front = None if missing else front
    return source, Entry(source, front) if front else None, problems
