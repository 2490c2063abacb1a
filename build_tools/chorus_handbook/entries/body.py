"""The body of an exercise: its sections, and the notation cut out of it.

The notation is a fence called `degrees` or `abc`. It leaves its lines behind as blanks, so that
every line of the body keeps its number. What is a fence, and that comments vanish, is decided in
`fences`; music that stands in none is found by `stray_notation`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from chorus_handbook.entries.fences import Fence, mark, readable
from chorus_handbook.entries.model import FENCE_NOTATIONS, FenceNotation, Notation, Section
from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source import clip

#: "Two sentences to say" are shorter than this.
MOST_WORDS_TO_SAY = 60
SAY = "Say"

#: What may have been meant to close a fence.
_NEARLY_CLOSING = re.compile(r"[ \t]*(?:[`'\"´‘’“”˜～~]{2,12}|-{3,12})[ \t]*")
_HEADING = re.compile(r"#{1,2}[ \t]+(.*?)[ \t]*#*[ \t]*")


@dataclass(frozen=True, slots=True)
class Body:
    """`text` is the Markdown without the notation, line for line where it was, with the signs of
    `fences` in place of comments; in the sections nothing is left of those."""

    text: str
    sections: tuple[Section, ...]
    notation: Notation | None


def read_body(text: str, path: str, first_line: int) -> tuple[Body, list[Problem]]:
    """Read the body of an exercise; its first line is line `first_line` of the file."""
    place = Place(path, first_line)
    marked = mark(text)
    lines = marked.text.split("\n")
    notation: Notation | None = None
    problems: list[Problem] = []
    free = set(range(len(lines)))  # the lines that stand in no fence
    for fence in marked.fences:
        last = len(lines) - 1 if fence.last is None else fence.last
        free -= set(range(fence.first, last + 1))
        at = place.at(first_line + fence.first)
        kind = _kind(fence)
        problem = _fault(fence, at, kind, notation) or _unclosed(fence, at, lines)
        problems += [problem] if problem else []
        if kind:
            if fence.last is not None and notation is None:
                content = "\n".join(lines[fence.first + 1 : last])
                notation = Notation(kind, content, at.at(at.line + 1))
            lines[fence.first : last + 1] = [""] * (last + 1 - fence.first)
    return Body("\n".join(lines), tuple(_sections(lines, free, place)), notation), sorted(problems)


def read_sections(text: str, place: Place) -> tuple[Section, ...]:
    """The sections of a body that holds no notation and begins at `place`."""
    marked = mark(text)
    lines = marked.text.split("\n")
    ends = [(f.first, len(lines) if f.last is None else f.last + 1) for f in marked.fences]
    fenced = {number for first, end in ends for number in range(first, end)}
    return tuple(_sections(lines, set(range(len(lines))) - fenced, place))


def check_say(sections: tuple[Section, ...]) -> list[Problem]:
    """What a leader says aloud is short."""
    return [
        Problem(
            section.place,
            "say-length",
            f"There are {count} words under Say; singers stop listening long before the end.",
            'Keep two short sentences, and move the rest to "How to run it".',
        )
        for section in sections
        if section.heading.lower() == SAY.lower()
        and (count := len(section.markdown.split())) > MOST_WORDS_TO_SAY
    ]


def _sections(lines: Sequence[str], free: set[int], place: Place) -> Iterator[Section]:
    """The parts of the body by their headings; what stands before any heading only if it has
    text."""
    heads = [("", -1)]
    for number, line in enumerate(lines):
        found = _HEADING.fullmatch(line) if number in free else None
        if found and found[1]:
            heads.append((found[1], number))
    ends = [number for _, number in heads[1:]] + [len(lines)]
    for (heading, head), end in zip(heads, ends, strict=True):
        content = "\n".join(lines[head + 1 : end])
        if heading or content.strip():
            yield Section(
                readable(heading).strip(), readable(content), place.at(place.line + head + 1)
            )


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
