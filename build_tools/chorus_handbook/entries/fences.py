"""What in Markdown is not text: fences, which stand as they are, and comments, which vanish.

What counts as a fence here is exactly what counts as one where pages are made (Python-Markdown's
fenced code): the marks begin at the edge, and the same marks end it. Whatever only looks like one
is text there, and is looked at as text here. Comments are taken out before anything else sees the
text: nothing can hide in one, and what was commented out is gone for every stage alike.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass

#: Stands for each character of a comment; no text of a file can contain it.
GONE = "\x00"

_MARK = re.compile(r"^(`{3,}|~{3,})([^\n]*)$|<!--", re.MULTILINE)
_CLOSING = re.compile(r"^(`{3,}|~{3,})[ \t]*$", re.MULTILINE)
_PLAIN_INFO = re.compile(r"\.?[\w#.+-]*|\{.*\}")
_GONE = re.compile(f"{GONE}+")


@dataclass(frozen=True, slots=True)
class Fence:
    """A fence by its lines, counted from 0: `first` has the opening marks, `last` the closing ones
    (None when they are missing and it runs to the end). `info` stands behind the opening marks."""

    marks: str
    info: str
    first: int
    last: int | None

    @property
    def plain(self) -> bool:
        """Whether pages take it for a fence: closed, and one word at most behind the marks."""
        return self.last is not None and bool(_PLAIN_INFO.fullmatch(self.info))


@dataclass(frozen=True, slots=True)
class Marked:
    """A text with `GONE` for every character of a comment, so that lines and columns stay, and
    its fences in order. A comment that is never closed stays in: `unclosed` is its offset."""

    text: str
    fences: tuple[Fence, ...]
    unclosed: int | None = None

    @property
    def outside(self) -> str:
        """The text with empty lines in place of fences."""
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
    done = at = 0
    line = line_at = 0  # the line of the offset `line_at`, so that newlines are counted once
    comments = True
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
    """The text as pages get it: a blank where a comment stood."""
    return _GONE.sub(" ", text) if GONE in text else text
