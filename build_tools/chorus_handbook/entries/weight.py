"""How much a body asks of whoever sets it as a page.

Markdown is read with patterns whose time grows with the square of what they are given: 4,000
opening brackets take seconds, 300 lists within lists end in an error. The limits here are far from
anything a person writes, and were measured: a body within them is set in under a second.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from chorus_handbook.entries.fences import GONE
from chorus_handbook.entries.live import live_text
from chorus_handbook.problems import Place, Problem

MOST_CHARACTERS = 64 * 1024
MOST_LINES = 4_000
#: Lists, quotes and notes within each other.
DEEPEST = 20
MOST_HEADINGS = 200
#: Definitions and notes at the foot.
MOST_DEFINITIONS = 500
#: Signs that mean something in Markdown, in a whole body.
MOST_SIGNS = 6_000
#: Of these, signs that may open a tag.
MOST_TAGS = 1_000
#: Signs times characters, summed over long paragraphs: what the patterns really cost.
MOST_WORK = 1_500_000
LONG_PARAGRAPH = 500
#: Columns times rows of one table.
MOST_CELLS = 4_000

_SIGNS = re.compile(r"[\[\]<>*_`\\&{|!]")
_HEADING = re.compile(r"^(?:#|[ ]{0,3}(?:=+|-+)[ \t]*$)", re.MULTILINE)
_DEFINITION = re.compile(r"^[ \t]*(?::[ \t]|\[\^)", re.MULTILINE)
#: What opens a list, a quote, a definition or a note: a sign and a blank, except for a quote.
_MARKER = re.compile(r"[ \t]*(?:>|(?:[-+*:]|\d{1,9}\.|!!!|\?\?\?\+?)(?=[ \t]|$))")
_NOTE = re.compile(r"\[\^[^\]]{0,300}\]:")
#: What may stand before a note's name when it is no word in a sentence.
_WITHIN = re.compile(r"(?:[ \t>*+\-\d.:]|\[\^[^\]]*\]:)*")
_AT_THE_EDGE = re.compile(r"[ ]{0,3}")
_EMPTY_LINE = re.compile(r"\n[ \t]*\n")
_ITEM = re.compile(r"[ ]{0,3}(?:[-+*]|\d{1,9}\.)[ \t]")
_NEXT_ITEM = re.compile(r"\n(?=[ \t]*(?:[-+*]|\d{1,9}\.)[ \t])")
_TABLE_RULE = re.compile(r"[ \t|:]*-[ \t|:-]*")
_INDENT = 4
_SHORTER = "Make two exercises of it, or delete what nobody reads."


def check_weight(text: str, place: Place) -> list[Problem]:
    """What is too much in Markdown whose first line stands at `place`: one problem at most."""
    if len(text) > MOST_CHARACTERS:
        return [
            _problem(place, f"This text is longer than {MOST_CHARACTERS // 1024} kB.", _SHORTER)
        ]
    live = live_text(text)
    lines = live.split("\n")
    for check in (_size, _depth, _signs, _tables, _notes):
        for line, message, hint in check(live, lines):
            return [_problem(place.at(place.line + line), message, hint)]
    return []


def _problem(place: Place, message: str, hint: str) -> Problem:
    return Problem(place, "markdown-depth", message, hint)


Fault = tuple[int, str, str]


def _size(live: str, lines: list[str]) -> Iterator[Fault]:
    if len(lines) > MOST_LINES:
        yield MOST_LINES, f"This text has more than {MOST_LINES} lines.", _SHORTER
    limits = (
        (_HEADING, MOST_HEADINGS, "headings"),
        (_DEFINITION, MOST_DEFINITIONS, "definitions and footnotes"),
    )
    for pattern, most, what in limits:
        found = [match.start() for match in pattern.finditer(live)]
        if len(found) > most:
            line = live.count("\n", 0, found[most])
            yield line, f"This text has more than {most} {what}.", _SHORTER


def _depth(_live: str, lines: list[str]) -> Iterator[Fault]:
    for number, line in enumerate(lines):
        if line[:1] not in f" \t{GONE}>-+*:!?0123456789" or not line.strip():
            continue
        expanded = line.replace(GONE, " ").expandtabs(_INDENT)
        depth = (len(expanded) - len(expanded.lstrip())) // _INDENT
        at = 0
        while found := _MARKER.match(expanded, at):
            depth += 1
            at = found.end()
        rule = at == len(expanded.rstrip()) and set(expanded) <= set("-* ")
        if depth > DEEPEST and not rule:
            yield (
                number,
                f"Lists or quotes are nested more than {DEEPEST} levels deep here.",
                "Move the line to the left: two or three levels are enough.",
            )


def _signs(live: str, _lines: list[str]) -> Iterator[Fault]:
    signs = len(_SIGNS.findall(live))
    if signs * len(live) <= MOST_WORK:
        return
    start = done = tags = work = 0
    for paragraph in _paragraphs(live):
        start = live.find(paragraph, start)
        count = len(_SIGNS.findall(paragraph))
        done += count
        tags += paragraph.count("<")
        work += count * len(paragraph) if len(paragraph) > LONG_PARAGRAPH else 0
        if done > MOST_SIGNS or tags > MOST_TAGS or work > MOST_WORK:
            line = live.count("\n", 0, start)
            yield (
                line,
                "There are too many signs such as * [ < here to make a page of.",
                "Delete those that are not needed, and put an empty line between paragraphs.",
            )
            return
        start += len(paragraph)


def _paragraphs(live: str) -> Iterator[str]:
    """The stretches of text whose signs are held against each other: paragraphs, and within lists
    and tables each item and row."""
    for paragraph in _EMPTY_LINE.split(live):
        first, _, rest = paragraph.partition("\n")
        if _ITEM.match(first):
            yield from _NEXT_ITEM.split(paragraph)
        elif "|" in first and _TABLE_RULE.fullmatch(rest.partition("\n")[0]):
            yield from paragraph.split("\n")
        else:
            yield paragraph


def _tables(_live: str, lines: list[str]) -> Iterator[Fault]:
    columns = first = 0
    for number, line in enumerate([*lines, ""]):
        if not line.strip():
            columns, first = 0, number + 1
            continue
        columns = max(columns, line.count("|"))
        if columns * (number - first + 1) > MOST_CELLS:
            yield number, f"This table has more than {MOST_CELLS} cells.", "Make two tables of it."
            return


def _notes(live: str, _lines: list[str]) -> Iterator[Fault]:
    """Notes at the foot within lists, quotes or other notes: those who set the page go through the
    notes, and stumble when one of them turns out to hold another."""
    for found in _NOTE.finditer(live):
        start = live.rfind("\n", 0, found.start()) + 1
        before = live[start : found.start()].replace(GONE, " ")
        if _WITHIN.fullmatch(before) and not _AT_THE_EDGE.fullmatch(before):
            yield (
                live.count("\n", 0, start),
                "This footnote is inside a list, a quote or another footnote.",
                "Begin the line at the left edge: [^1]: text.",
            )
