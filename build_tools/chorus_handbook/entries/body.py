"""The notation, cut out of the body of an exercise.

The notation is a fence called `degrees` or `abc`. It leaves its lines behind as blanks, so that
every line of the body keeps its number. What is a fence, and that comments vanish, is decided in
`fences`; music that stands in none is found by `stray_notation`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from chorus_handbook.entries.fences import Fence, mark
from chorus_handbook.entries.model import FENCE_NOTATIONS, FenceNotation, Notation
from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source import clip

#: What may have been meant to close a fence.
_NEARLY_CLOSING = re.compile(r"[ \t]*(?:[`'\"´‘’“”˜～~]{2,12}|-{3,12})[ \t]*")


def read_body(text: str, place: Place) -> tuple[str, Notation | None, list[Problem]]:
    """The body of an exercise, whose first line stands at `place`: its text with nothing left of
    notation and comments but their lines, and the notation."""
    marked = mark(text)
    lines = marked.text.split("\n")
    notation: Notation | None = None
    problems: list[Problem] = []
    for fence in marked.fences:
        last = len(lines) - 1 if fence.last is None else fence.last
        at = place.at(place.line + fence.first)
        kind = _kind(fence)
        problem = _fault(fence, at, kind, notation) or _unclosed(fence, at, lines)
        problems += [problem] if problem else []
        if kind:
            if fence.last is not None and notation is None:
                content = "\n".join(lines[fence.first + 1 : last])
                notation = Notation(kind, content, at.at(at.line + 1))
            lines[fence.first : last + 1] = [""] * (last + 1 - fence.first)
    return "\n".join(lines), notation, sorted(problems)


def _word(fence: Fence) -> str:
    return fence.info.split(maxsplit=1)[0] if fence.info else ""


def _kind(fence: Fence) -> FenceNotation | None:
    word = _word(fence).lower().strip("{}.")
    return next((kind for kind in FENCE_NOTATIONS if kind == word), None)


def _fault(fence: Fence, at: Place, kind: str | None, earlier: Notation | None) -> Problem | None:
    """What is wrong with a fence as such."""
    if fence.last is None:
        return None  # `_unclosed` says so
    if kind and earlier:
        return _problem(
            at,
            "This is a second fence with music; the first begins on line "
            f"{earlier.place.line - 1}.",
            "Make another exercise of it, and name that under related.",
        )
    if not fence.plain and not kind:
        return _problem(
            at,
            "This fence has more than one word after its marks, so it would be printed as text.",
            "Write one word after the marks, or none.",
        )
    meant = "" if kind else did_you_mean(_word(fence), FENCE_NOTATIONS)
    if meant:
        return _problem(
            at,
            f'A fence called "{clip(_word(fence))}" is printed as text, not sung.{meant}',
            f"Write {fence.marks}{' or '.join(FENCE_NOTATIONS)} on this line.",
        )
    return None


def _unclosed(fence: Fence, at: Place, lines: Sequence[str]) -> Problem | None:
    """A fence without its end. What it holds is not read: everything after the last line of music
    would be held for notes."""
    if fence.last is not None:
        return None
    marks = clip(fence.marks)
    below = range(fence.first + 1, len(lines))
    nearly = next((n for n in below if _NEARLY_CLOSING.fullmatch(lines[n])), None)
    if nearly is None:
        hint = f"Write {marks} alone on a line below the music."
    else:
        line = at.line + nearly - fence.first
        hint = f"Write {marks} in place of {clip(lines[nearly].strip())} on line {line}."
    return _problem(at, "This fence is never closed.", hint)


def _problem(place: Place, message: str, hint: str) -> Problem:
    return Problem(place, "fence", message, hint)
