"""Limits on the size and structure of a Markdown text, so that each renders in under half a second.

The time that Python-Markdown takes grows with the square of some counts: 4,000 opening brackets in
one paragraph take seconds, and 300 nested lists end in an exception. The limits are our choice,
found by measuring texts of 64 kB, and far above what a person writes. `check_size` runs before the
text is parsed; `check_blocks` runs when its structure is known, before the costly parsing within
lines.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element

from chorus_handbook.problems import Place, Problem

MOST_CHARACTERS = 64 * 1024
MOST_LINES = 4_000
#: The most lines without an empty line between them.
MOST_LINES_TOGETHER = 1_000
#: The most opening square brackets, in a text, and in one paragraph, item or cell.
MOST_BRACKETS = 1_500
MOST_BRACKETS_TOGETHER = 100
#: The most other characters with a meaning in Markdown, in a text, and in one paragraph, item or
#: cell.
MOST_SIGNS = 5_000
MOST_SIGNS_TOGETHER = 2_000
#: How many lists, quotes and boxes may be within one another.
DEEPEST = 20
MOST_HEADINGS = 300
MOST_FOOTNOTES = 30
#: The most items, paragraphs, cells and the like in a text.
MOST_ELEMENTS = 12_000
#: The most cells (columns times rows) of one table.
MOST_CELLS = 4_000

#: The other characters with a meaning in Markdown.
_SIGNS = re.compile(r"[<>*_`\\&|!{]")
#: The elements that count as a level of nesting.
_NESTING = frozenset({"blockquote", "dd", "div", "li"})
_HEADINGS = frozenset({"h1", "h2", "h3", "h4", "h5", "h6"})
_SHORTER = "Split the text in two, or shorten it."
_FEWER = "Delete those that are not needed, and put an empty line between paragraphs."


class TooComplexError(Exception):
    """A text exceeds a limit; `message` and `hint` are for the author."""

    def __init__(self, message: str, hint: str = _SHORTER) -> None:
        super().__init__(message)
        self.message, self.hint = message, hint


class TooDeepError(TooComplexError):
    """Lists or quotes are nested too deeply."""

    def __init__(self) -> None:
        super().__init__(
            f"Lists or quotes are nested more than {DEEPEST} levels deep here.",
            "Move the line to the left: two or three levels are enough.",
        )


def too_complex(place: Place, message: str, hint: str = _SHORTER) -> Problem:
    """The problem of a text that exceeds a limit."""
    return Problem(place, "markdown-depth", message, hint)


def check_size(text: str, place: Place) -> Problem | None:
    """The problem of a text that exceeds a limit of size; None if it exceeds none. The text begins
    at `place`, and its fences have been replaced by empty lines."""
    for line, message, hint in _too_large(text):
        return too_complex(place.at(place.line + line), message, hint)
    return None


def _too_large(text: str) -> Iterator[tuple[int, str, str]]:
    """For each limit that is exceeded: the number of the line (from 0) at which the text becomes
    too large, the message and the hint."""
    if len(text) > MOST_CHARACTERS:
        yield 0, f"This text is longer than {MOST_CHARACTERS // 1024} kB.", _SHORTER
        return
    lines = text.split("\n")
    if len(lines) > MOST_LINES:
        yield MOST_LINES, f"This text has more than {MOST_LINES} lines.", _SHORTER
    brackets = signs = columns = 0
    first = 0  # the first line of those without an empty line between them; `columns` is theirs
    for number, line in enumerate(lines):
        brackets += line.count("[")
        signs += len(_SIGNS.findall(line))
        if brackets > MOST_BRACKETS or signs > MOST_SIGNS:
            yield number, _many("[" if brackets > MOST_BRACKETS else "* _ ` <"), _FEWER
        if not line.strip():
            columns, first = 0, number + 1
        if number - first >= MOST_LINES_TOGETHER:
            message = (
                f"There are more than {MOST_LINES_TOGETHER} lines here without an empty line "
                "between them."
            )
            yield number, message, "Put an empty line between paragraphs."
        columns = max(columns, line.count("|"))
        if columns * (number - first + 1) > MOST_CELLS:
            yield number, f"This table has more than {MOST_CELLS} cells.", "Make two tables of it."


def check_blocks(root: Element, footnotes: int) -> None:
    """Raise TooComplexError when the structure of a text exceeds a limit. `root` is the text parsed
    into blocks, in which the contents of lines are not parsed yet; `footnotes` is the number of its
    footnotes."""
    headings = elements = 0
    waiting = [(child, 0) for child in root]  # elements to be looked at, with their depth
    while waiting:
        element, depth = waiting.pop()
        elements += 1
        headings += element.tag in _HEADINGS
        depth += element.tag in _NESTING
        if depth > DEEPEST:
            raise TooDeepError
        for text in (element.text if element.tag != "code" else "", element.tail):
            _check_together(text or "")
        waiting += [(child, depth) for child in element]
    if elements > MOST_ELEMENTS:
        raise TooComplexError(
            f"This text has more than {MOST_ELEMENTS} items, paragraphs and table cells."
        )
    if headings > MOST_HEADINGS:
        raise TooComplexError(f"This text has more than {MOST_HEADINGS} headings.")
    if footnotes > MOST_FOOTNOTES:
        raise TooComplexError(f"This text has more than {MOST_FOOTNOTES} footnotes.")


def _check_together(text: str) -> None:
    """Raise TooComplexError when one paragraph, item or cell has too many characters with a meaning
    in Markdown."""
    if text.count("[") > MOST_BRACKETS_TOGETHER:
        raise TooComplexError(_many("["), _FEWER)
    if len(text) > MOST_SIGNS_TOGETHER and len(_SIGNS.findall(text)) > MOST_SIGNS_TOGETHER:
        raise TooComplexError(_many("* _ ` <"), _FEWER)


def _many(signs: str) -> str:
    """The message for a text with too many of these signs."""
    return f"There are too many signs such as {signs} in this text to make a page of it."
