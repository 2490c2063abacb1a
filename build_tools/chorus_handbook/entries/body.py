"""The body of an exercise: its sections, and the notation cut out of it.

The notation is a fence called `degrees` or `abc`. It leaves its lines behind as blanks, so that
every line of the body keeps its number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

from chorus_handbook.entries.model import Notation, Section
from chorus_handbook.problems import Place, Problem, did_you_mean
from chorus_handbook.source import clip

KINDS = ("degrees", "abc")

#: "Two sentences to say" are shorter than this.
MOST_WORDS_TO_SAY = 60
SAY = "Say"

_FENCE = re.compile(r"( {0,3})(`{3,}|~{3,})[ \t]*([^`]*?)[ \t]*")
_INDENTED = re.compile(rf"[ \t]+(?:`{{3,}}|~{{3,}})[ \t]*({'|'.join(KINDS)})\b.*", re.IGNORECASE)
_HEADING = re.compile(r"#{1,2}[ \t]+(.*?)[ \t]*#*[ \t]*")


@dataclass(frozen=True, slots=True)
class Body:
    """`text` is the Markdown without the notation, line for line where it was."""

    text: str
    sections: tuple[Section, ...]
    notation: Notation | None


def read_body(text: str, path: str, first_line: int) -> tuple[Body, list[Problem]]:
    """Read a body whose first line is line `first_line` of the file."""
    reader = _Reader(path, first_line)
    for number, line in enumerate(text.split("\n")):
        reader.take(line, first_line + number)
    return reader.finish(), sorted(reader.problems)


def check_say(sections: tuple[Section, ...]) -> list[Problem]:
    """What a leader says aloud is short."""
    return [
        Problem(
            section.place,
            "say-length",
            f"Under Say stand {count} words; singers have stopped listening by then.",
            "Keep two short sentences, and move the rest to How to run it.",
        )
        for section in sections
        if section.heading.lower() == SAY.lower()
        and (count := len(section.markdown.split())) > MOST_WORDS_TO_SAY
    ]


@dataclass(slots=True)
class _Fence:
    """An open fence: the line it began on, its marks, and whether it holds notation."""

    line: int
    marks: str
    kind: str
    lines: list[str] = field(default_factory=list)


class _Reader:
    def __init__(self, path: str, first_line: int) -> None:
        self.problems: list[Problem] = []
        self._path = path
        self._fence: _Fence | None = None
        self._notation: Notation | None = None
        self._kept: list[str] = []
        self._headings: list[tuple[str, int, int]] = [("", 0, first_line)]

    def take(self, line: str, number: int) -> None:
        if self._fence:
            self._inside(self._fence, line)
            return
        opened = _FENCE.fullmatch(line)
        if opened:
            self._open(opened[2], opened[3], number)
            self._kept.append("" if self._fence and self._fence.kind else line)
            return
        if _INDENTED.fullmatch(line):
            self._complain(
                number,
                "This fence is moved in, so it would be printed and not sung.",
                "Begin the line with the three backticks.",
            )
        heading = _HEADING.fullmatch(line)
        if heading and heading[1]:
            self._headings.append((heading[1], len(self._kept) + 1, number))
        self._kept.append(line)

    def finish(self) -> Body:
        if self._fence:
            # What it holds is not read: everything after its last line would be held for notes.
            self._complain(
                self._fence.line,
                "This fence is never closed.",
                f"Write {clip(self._fence.marks)} on a line of its own after its last line.",
            )
        ends = [start - 1 for _, start, _ in self._headings[1:]] + [len(self._kept)]
        sections = []
        for (heading, start, line), end in zip(self._headings, ends, strict=True):
            content = self._kept[start:end]
            first = line + 1 if heading else line
            if heading or any(content_line.strip() for content_line in content):
                sections.append(Section(heading, "\n".join(content), Place(self._path, first)))
        return Body("\n".join(self._kept), tuple(sections), self._notation)

    def _inside(self, fence: _Fence, line: str) -> None:
        closing = line.strip()
        closes = len(closing) >= len(fence.marks) and set(closing) == {fence.marks[0]}
        self._kept.append("" if fence.kind else line)
        if closes:
            if fence.kind:
                self._close(fence)
            self._fence = None
        else:
            fence.lines.append(line)

    def _open(self, marks: str, info: str, number: int) -> None:
        word = info.split(maxsplit=1)[0] if info else ""
        kind = word.lower().strip("{}.")
        if kind not in KINDS:
            meant = did_you_mean(kind, KINDS)
            if meant:
                self._complain(
                    number,
                    f'A fence called "{word}" is printed as it stands, not sung.{meant}',
                    f"Notation stands in a fence called {' or '.join(KINDS)}.",
                )
            kind = ""
        elif self._notation:
            self._complain(
                number,
                "This is a second fence with notation; the first begins in line "
                f"{self._notation.place.line - 1}.",
                "One exercise has one notation. Write the variation as an exercise of its own and "
                "name it under related.",
            )
        self._fence = _Fence(number, marks, kind)

    def _close(self, fence: _Fence) -> None:
        if self._notation is None:
            kind: Literal["degrees", "abc"] = "degrees" if fence.kind == "degrees" else "abc"
            place = Place(self._path, fence.line + 1)
            self._notation = Notation(kind, "\n".join(fence.lines), place)

    def _complain(self, line: int, message: str, hint: str) -> None:
        self.problems.append(Problem(Place(self._path, line), "fence", message, hint))
