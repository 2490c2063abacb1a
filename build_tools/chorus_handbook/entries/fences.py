"""Finds fences (code blocks between ``` or ~~~ lines) and HTML comments in Markdown.

A fence is recognised here exactly as Python-Markdown recognises it when it makes the page: its
marks begin at the left edge, and the same marks end it. Comments are replaced before anything else
reads the text, so that checks and pages always agree on what is commented out.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass

#: Replaces each character of a comment. Files with this character are refused when they are read.
GONE = "\x00"

#: The opening line of a fence (its marks and what follows them), or the beginning of a comment.
_MARK = re.compile(r"^(`{3,}|~{3,})([^\n]*)$|<!--", re.MULTILINE)
#: A line that can close a fence: marks alone.
_CLOSING = re.compile(r"^(`{3,}|~{3,})[ \t]*$", re.MULTILINE)
#: What may follow the marks of a fence so that Python-Markdown makes a code block of it: one word,
#: or something in braces.
_PLAIN_INFO = re.compile(r"\.?[\w#.+-]*|\{.*\}")
_GONE = re.compile(f"{GONE}+")


@dataclass(frozen=True, slots=True)
class Fence:
    """A fence in a text.

    marks: its backticks or tildes.
    info: what follows the marks on the opening line.
    first, last: the numbers of its opening and closing lines, counted from 0; `last` is None when
        the fence is never closed.
    """

    marks: str
    info: str
    first: int
    last: int | None

    @property
    def plain(self) -> bool:
        """Whether the page shows the fence as a code block: it is closed, and has at most one word
        after the marks."""
        return self.last is not None and bool(_PLAIN_INFO.fullmatch(self.info))


@dataclass(frozen=True, slots=True)
class Marked:
    """A text whose comments have been replaced, and the fences in it.

    text: the text, in which each character of a comment is replaced by `GONE`, so that everything
        else keeps its line and column.
    fences: its fences, in order.
    unclosed: the offset of a comment that is never closed and therefore not replaced; None if there
        is none.
    """

    text: str
    fences: tuple[Fence, ...]
    unclosed: int | None = None

    @property
    def outside(self) -> str:
        """The text with empty lines in place of its fences."""
        lines = self.text.split("\n")
        for fence in self.fences:
            if fence.plain and fence.last is not None:
                lines[fence.first : fence.last + 1] = [""] * (fence.last + 1 - fence.first)
        return "\n".join(lines)


def mark(text: str) -> Marked:
    """Find the comments and the fences of a text."""
    closings: dict[str, list[int]] = {}
    for closing in _CLOSING.finditer(text):
        closings.setdefault(closing[1], []).append(closing.start())
    pieces: list[str] = []
    fences: list[Fence] = []
    done = 0  # the text before this offset is in `pieces`
    at = 0  # where the search goes on
    line = line_at = 0  # the line of the offset `line_at`, so that newlines are counted once
    comments = True  # false after a comment that is never closed: none after it can be closed
    unclosed: int | None = None
    while found := _MARK.search(text, at):
        if found[1] is None:
            end = text.find("-->", found.end()) if comments else -1
            if comments and end < 0:
                unclosed = found.start()
            comments = end >= 0
            if comments:
                pieces += [text[done : found.start()], _blank(text[found.start() : end + 3])]
                done = end + 3
            at = done if comments else found.end()
            continue
        marks, info = found[1], found[2].strip(" \t")
        if marks.startswith("`") and "`" in info:
            at = found.start() + len(marks)  # code within a line, not a fence
            continue
        line += text.count("\n", line_at, found.start())
        line_at = found.start()
        ends = closings.get(marks, [])
        next_end = bisect_left(ends, found.end())
        if next_end == len(ends):
            fences.append(Fence(marks, info, line, None))
            break
        last = line + text.count("\n", line_at, ends[next_end])
        fences.append(Fence(marks, info, line, last))
        at = ends[next_end] + len(marks)
    whole = "".join([*pieces, text[done:]]) if pieces else text
    return Marked(whole, tuple(fences), unclosed)


def _blank(comment: str) -> str:
    """A comment with `GONE` in place of all characters except line breaks."""
    return "\n".join(GONE * len(line) for line in comment.split("\n"))


def readable(text: str) -> str:
    """A text whose comments have been replaced by `GONE`, with one space in place of each
    comment."""
    return _GONE.sub(" ", text) if GONE in text else text
