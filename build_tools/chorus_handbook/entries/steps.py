"""Reads the numbered steps in the section "How to run it", with the time that each takes.

A step may state its time in brackets at its beginning: `1. (20 s) Hum the first note.`
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from chorus_handbook.catalogue import N_, _
from chorus_handbook.entries.fences import mark
from chorus_handbook.entries.model import Source
from chorus_handbook.problems import Place

#: The heading of the section with the steps, to be looked up in the handbook's language.
RUN = N_("How to run it")

#: An item of a numbered list, with what it has in brackets at its beginning.
_ITEM = re.compile(r" {0,3}(\d{1,3})[.)][ \t]+(?:\(([^()\n]{1,40})\))?")
#: A time such as "20 s", "2½ min" or "1 min 30 s".
_TIME = re.compile(
    r"(?:(?P<minutes>\d{1,3})(?P<part>[¼½¾]|\.\d+)?\s*min(?:utes?)?)?"
    r"\s*(?:(?P<seconds>\d{1,4})\s*(?:s|sec|seconds?))?"
)
#: Parts of a minute that are written as one character.
_FRACTIONS = {"¼": 0.25, "½": 0.5, "¾": 0.75}


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    number: its number as the page shows it.
    seconds: its time; None when it states none, or none that can be read.
    unread: the text in its brackets if that begins with a digit but cannot be read as a time;
        otherwise an empty string.
    place: its line in the file.
    """

    number: int
    seconds: float | None
    unread: str
    place: Place


def is_heading(text: str, known: str) -> bool:
    """Whether the heading `text` of an author is the one that is called `known` in English. It may
    be written in English or in the handbook's language, with any capitals. If `known` is an empty
    string, whether `text` is empty too."""
    return text.casefold() in {known.casefold(), _(known).casefold()} if known else not text


def read_steps(source: Source) -> tuple[Step, ...]:
    """The steps of an exercise, in order; empty when it has no numbered list."""
    lines = mark(source.text).outside.split("\n")
    sections = source.body.sections
    ends = [*(section.place.line for section in sections[1:]), source.first_line + len(lines)]
    steps: list[Step] = []
    for section, end in zip(sections, ends, strict=False):
        if not is_heading(section.heading, RUN):
            continue
        for number in range(section.place.line, end):
            if item := _ITEM.match(lines[number - source.first_line]):
                bracket = item[2] or ""
                seconds = read_seconds(bracket)
                unread = bracket if seconds is None and bracket[:1].isdigit() else ""
                # Numbered as on the page: counted on from the first number.
                count = steps[-1].number + 1 if steps else int(item[1])
                steps.append(Step(count, seconds, unread, section.place.at(number)))
    return tuple(steps)


def read_seconds(text: str) -> float | None:
    """The seconds in a text such as "20 s", "2½ min" or "1 min 30 s"; None for anything else, and
    for a time of zero."""
    found = _TIME.fullmatch(text.strip())
    if not found or not found[0]:
        return None
    part = found["part"] or "0"
    minutes = float(found["minutes"] or 0) + (
        _FRACTIONS[part] if part in _FRACTIONS else float(part)
    )
    return 60 * minutes + float(found["seconds"] or 0) or None
