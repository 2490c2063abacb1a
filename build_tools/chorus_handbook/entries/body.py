"""Takes the music out of the text of an exercise.

Music is written in a fence: lines between ```degrees or ```abc and ```. Empty lines are left in its
place, so that every other line keeps its number. `fences` decides what a fence is; music outside of
fences is reported by `stray_notation`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from chorus_handbook.entries.fences import Fence, mark
from chorus_handbook.entries.model import FENCE_NOTATIONS, FenceNotation, Notation
from chorus_handbook.problems import Place, Problem, did_you_mean, in_quotes
from chorus_handbook.source import clip

#: A line that was probably meant to close a fence.
_NEARLY_CLOSING = re.compile(r"[ \t]*(?:[`'\"´‘’“”˜～~]{2,12}|-{3,12})[ \t]*")


def read_body(text: str, place: Place) -> tuple[str, Notation | None, list[Problem]]:
    """Split the body of an exercise, which begins at `place`, into text and music.

    Returns three things: the text, with empty lines in place of the music and `fences.GONE` in
    place of comments; the notation, or None when there is no closed fence with music; and the
    problems of the fences.
    """
    marked = mark(text)
    lines = marked.text.split("\n")
    notation: Notation | None = None
    problems: list[Problem] = []
    for fence in marked.fences:
        last = len(lines) - 1 if fence.last is None else fence.last
        at = place.at(place.line + fence.first)
        kind = _kind(fence)
        problem = _fence_problem(fence, at, kind, notation) or _unclosed(fence, at, lines)
        problems += [problem] if problem else []
        if kind:
            if fence.last is not None and notation is None:
                content = "\n".join(lines[fence.first + 1 : last])
                notation = Notation(kind, content, at.at(at.line + 1))
            lines[fence.first : last + 1] = [""] * (last + 1 - fence.first)
    return "\n".join(lines), notation, sorted(problems)


def _word(fence: Fence) -> str:
    """The first word after the marks of a fence; empty if there is none."""
    return fence.info.split(maxsplit=1)[0] if fence.info else ""


def _kind(fence: Fence) -> FenceNotation | None:
    """The notation that a fence names; None if it names none."""
    word = _word(fence).lower().strip("{}.")
    return next((kind for kind in FENCE_NOTATIONS if kind == word), None)


def _fence_problem(
    fence: Fence, at: Place, kind: str | None, earlier: Notation | None
) -> Problem | None:
    """What is wrong with the opening line of a closed fence, if anything. `kind` is the notation
    that it names, `earlier` the music that was found above it."""
    if fence.last is None:
        return None  # `_unclosed` reports that it is not closed
    if kind and earlier:
        return _problem(
            at,
            "This is a second piece of music; the first begins on line "
            f"{earlier.place.line - 1}. An exercise can have only one.",
            'Move it to an exercise of its own, and name that exercise in the field "related".',
        )
    if not fence.plain and not kind:
        return _problem(
            at,
            f'There is more than one word after "{clip(fence.marks)}", so what follows would be '
            "printed as text.",
            f'Write one word after "{clip(fence.marks)}", or none.',
        )
    openings = [clip(fence.marks) + name for name in FENCE_NOTATIONS]
    meant = "" if kind else did_you_mean(_word(fence), FENCE_NOTATIONS)
    if meant:
        return _problem(
            at,
            f'There is no notation called "{clip(_word(fence))}", so what follows would be printed '
            f"as text.{meant}",
            f"Write one of these on this line: {in_quotes(openings)}.",
        )
    return None


def _unclosed(fence: Fence, at: Place, lines: Sequence[str]) -> Problem | None:
    """The problem of a fence that is never closed. Its music is not read: the text below the music
    would be read as notes too."""
    if fence.last is not None:
        return None
    marks = clip(fence.marks)
    below = range(fence.first + 1, len(lines))
    nearly = next((n for n in below if _NEARLY_CLOSING.fullmatch(lines[n])), None)
    if nearly is None:
        hint = f'Write "{marks}" alone on a line below the music.'
    else:
        line = at.line + nearly - fence.first
        hint = f'On line {line}, write "{marks}" in place of "{clip(lines[nearly].strip())}".'
    return _problem(at, f'The block that "{marks}" opens here is never closed.', hint)


def _problem(place: Place, message: str, hint: str) -> Problem:
    return Problem(place, "fence", message, hint)
