"""Reads the handbook's Markdown files: the fields at the top and the text below them.

A *kind* is a kind of file, such as an exercise. `kind` defines what a kind consists of, and `kinds`
lists those there are. For each file, `reading` does three things in turn:

1. `front_matter` separates the fields from the text and validates them (`model` defines them).
2. `body` takes the fence with the music out of the text. The music itself is read in `music/`.
3. `rendering` turns the rest into safe HTML (with `conversion` and `sanitise`) and reports what is
   not allowed in it; `limits` refuses texts that would take too long to render.

Around that, `files` finds the files and `folders` checks that all folders can be read, `links`
checks the links between pages, and `static_files` reads what is published unchanged. `cautions`,
`schema` and `draft` are derived from the fields of an exercise.
"""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.entries.front_matter import needs
from chorus_handbook.entries.model import EXERCISE, Entry, Notation, Source
from chorus_handbook.entries.reading import read_written
from chorus_handbook.problems import Problem


def read_entry(text: str, slug: str, path: str) -> tuple[Source, Entry | None, list[Problem]]:
    """Read the text of one exercise file; `path` is its name in messages.

    Returns three things: the file as a `Source`, which exists even when some fields are wrong; the
    `Entry`, or None when a field is wrong; and the problems.
    """
    source, written, document, problems = read_written(EXERCISE, text, slug, path)
    front = written.front if written else None
    if front and front.score and document:
        at = document.place_of("score")
        if source.notation:
            problems.append(
                Problem(
                    at,
                    "fence",
                    'The music is given twice: in the field "score", and as notes in this file.',
                    'Delete the line "score:", or the notes with the "```" lines around them.',
                )
            )
        else:
            source = replace(source, notation=Notation("score", front.score, at))
    if front and document:
        missing = needs(front, document, source.notation is not None)
        problems += missing
        front = None if missing else front
    return source, Entry(source, front) if front else None, problems
