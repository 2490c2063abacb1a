"""Finds fences (code blocks between ``` or ~~~ lines) and HTML comments in Markdown.

A fence is recognised here exactly as Python-Markdown does it when it makes the page: its marks
begin at the left edge, and the same marks end it. Comments are blanked before any other stage reads
the text, so that a check and the page always agree on what is commented out.
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
#: What may follow the marks if the fence is to be one on the page: one word, or braces.
_PLAIN_INFO = re.compile(r"\.?[\w#.+-]*|\{.*\}")
_GONE = re.compile(f"{GONE}+")


@dataclass(frozen=True, slots=True)
class Fence:
    """A fence in a text. `marks` are its backticks or tildes and `info` what follows them on the
    opening line. `first` and `last` are the numbers of its opening and closing lines, counted from
    0; `last` is None when the fence is never closed."""

    marks: str
    info: str
    first: int
    last: int | None

    @property
    def plain(self) -> bool:
        """Whether it is a fence on the page too: closed, with at most one word after the marks."""
        return self.last is not None and bool(_PLAIN_INFO.fullmatch(self.info))


@dataclass(frozen=True, slots=True)
class Marked:
    """A text with its comments blanked, and the fences in it.

    text: each character of a comment is replaced by `GONE`, so that lines and columns stay right.
    fences: in order.
    unclosed: the offset of a comment that is never closed (it is not blanked), else None.
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
        if found[1][0] == "`" and "`" in found[2]:
            at = found.start() + len(found[1])  # code within a line
            continue
        info = found[2].strip(" \t")
        line += text.count("\n", line_at, found.start())
        line_at = found.start()
        ends = closings.get(found[1], [])
        nth = bisect_left(ends, found.end())
        if nth == len(ends):
            fences.append(Fence(found[1], info, line, None))
            break
        last = line + text.count("\n", line_at, ends[nth])
        fences.append(Fence(found[1], info, line, last))
        at = ends[nth] + len(found[1])
    whole = "".join([*pieces, text[done:]]) if pieces else text
    return Marked(whole, tuple(fences), unclosed)


def _blank(comment: str) -> str:
    return "\n".join(GONE * len(line) for line in comment.split("\n"))


def readable(text: str) -> str:
    """The text as the page gets it: one space in place of each comment."""
    return _GONE.sub(" ", text) if GONE in text else text
