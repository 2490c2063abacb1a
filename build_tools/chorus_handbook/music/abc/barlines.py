"""Reads bar lines, repeat signs and the numbers of endings in ABC (sections 4.8 to 4.10 of the
standard)."""

from __future__ import annotations

import re

from chorus_handbook.music.abc.tokens import Token
from chorus_handbook.music.wording import shown
from chorus_handbook.music.written import Barline
from chorus_handbook.problems import Problem

#: How often anything may be sung in one repeat.
MOST_TIMES = 12
#: The most characters of a bar line.
_LONGEST = 8

#: The signs of a bar line: colons (the singers go back), lines, colons (a repeat starts).
_SIGNS = re.compile(r"(:*)(\|*)(:*)")
#: Which times through the repeat an ending is for: one, such as "2", or several, such as "1-3".
_TIMES = re.compile(r"([0-9]{1,2})(?:-([0-9]{1,2}))?")


def read_barline(token: Token) -> tuple[Barline | None, list[Problem]]:
    """Read a token that is a bar line, the number of an ending, or both. Returns the bar line, or
    None and the problem."""
    signs, numbers = token["signs"], token["ending"] or token["numbers"]
    times = _times(numbers)
    if times is None:
        return None, [
            _problem(
                token,
                f"{shown(numbers)} does not say for which times of a repeat this ending is.",
                'Write "|1" and ":|2", or "|1,3" and ":|2", or "|1-3"; the largest number is '
                f"{MOST_TIMES}.",
            )
        ]
    times_back = starts = 0
    if signs:
        found = _SIGNS.fullmatch(signs)
        before, lines, after = found.groups() if found else ("", "", "")
        if not lines and len(before) == 2:  # between two repeats :: needs no line
            before = after = ":"
        if not found or len(signs) > _LONGEST or (before and not lines and not after):
            return None, [
                _problem(
                    token,
                    f"{shown(token.text)} is not a bar line.",
                    'Write "|", "||" or "|]" for a bar line, "|:" where a repeat starts, ":|" '
                    'where it ends, and "::" between two repeats.',
                )
            ]
        times_back, starts = len(before), len(after)
    plain = token.text.strip(".") == "|" and not times
    return Barline(
        token.place,
        soft=not plain,
        times_back=times_back,
        starts=bool(starts),
        ending=times,
    ), []


def _times(text: str) -> tuple[int, ...] | None:
    """The times through the repeat at which an ending is sung, in order: 1 and 3 for the text
    "1,3". Empty for an empty text. None when they cannot be read."""
    times: set[int] = set()
    for piece in re.split(r"[,.]", text) if text else ():
        found = _TIMES.fullmatch(piece)
        if not found:
            return None
        first, last = int(found[1]), int(found[2] or found[1])
        if not 1 <= first <= last <= MOST_TIMES:
            return None
        times.update(range(first, last + 1))
    return tuple(sorted(times))


def _problem(token: Token, message: str, hint: str) -> Problem:
    return Problem(token.place, "notation-token", message, hint)
