"""Reads the ABC fields for the meter (`M:3/4`), the unit of note lengths (`L:1/8`) and the order in
which the parts of a tune are sung (`P:AAB`) (section 3.1 of the standard).

Each function takes the text after the colon.
"""

from __future__ import annotations

import re
from fractions import Fraction

from chorus_handbook.music.abc.keys import FieldError
from chorus_handbook.music.limits import MOST_BEATS, UNITS
from chorus_handbook.music.score import FREE, Meter
from chorus_handbook.music.wording import shown

#: How many parts the order in `P:` may have when all repeats are written out.
MOST_PARTS = 100

#: A meter such as 3/4 or (2+3)/8.
_METER = re.compile(r"\(?([0-9]{1,3}(?:[ \t]*\+[ \t]*[0-9]{1,3}){0,9})\)?[ \t]*/[ \t]*([0-9]{1,3})")
#: A fraction of a whole note, such as 1/8.
_UNIT = re.compile(r"1[ \t]*(?:/[ \t]*([0-9]{1,3}))?")
#: One sign in an order of parts: a letter or "("; a ")" or "."; or a number of times.
_PART = re.compile(r"\s*(?:([A-Z(])|([).])|([0-9]{1,3}))")
#: Meters that are not written as two numbers.
_NAMED = {
    "C": Meter(4, 4, "common"),
    "C|": Meter(2, 2, "cut"),
    "none": FREE,
    "": FREE,
    "free": FREE,
}
#: The shortest unit of length is a whole note divided by this.
_FINEST_UNIT = 64


def read_meter(text: str) -> Meter:
    """The meter of an `M:` field. Raises FieldError."""
    if text in _NAMED:
        return _NAMED[text]
    found = _METER.fullmatch(text)
    if not found:
        raise FieldError(
            f"{shown(text)} is not a meter.",
            'Write two numbers such as "M:3/4" or "M:6/8", or "M:C", "M:C|" or "M:none".',
        )
    beats, unit = sum(map(int, found[1].split("+"))), int(found[2])
    if unit not in UNITS or not 1 <= beats <= MOST_BEATS:
        raise FieldError(
            f"A meter of {beats}/{unit} is not possible.",
            f"Write a number from 1 to {MOST_BEATS} before the slash, and 1, 2, 4, 8, 16 or 32 "
            "after it.",
        )
    return Meter(beats, unit)


def read_unit(text: str) -> Fraction:
    """The unit of length of an `L:` field, in quarters. Raises FieldError."""
    found = _UNIT.fullmatch(text)
    divisor = int(found[1] or 1) if found else 0
    power_of_two = divisor & (divisor - 1) == 0
    if divisor < 1 or divisor > _FINEST_UNIT or not power_of_two:
        raise FieldError(
            f"{shown(text)} is not a note length.",
            'Write "L:1/4" for quarters or "L:1/8" for eighths; 1/64 is the shortest.',
        )
    return Fraction(4, divisor)


def default_unit(meter: Meter) -> Fraction:
    """The unit of length, in quarters, of a tune without an `L:` field: a sixteenth in meters
    shorter than 3/4, otherwise an eighth (section 3.1.7)."""
    short = not meter.free and Fraction(meter.beats, meter.unit) < Fraction(3, 4)
    return Fraction(1, 4) if short else Fraction(1, 2)


def read_order(text: str) -> str:
    """The letters of the parts in the order in which they are sung, with what a `P:` field above
    the notes abbreviates written out: "AABC" for "(A2B)C". Raises FieldError."""
    stack: list[list[str]] = [[]]  # the parts so far, and those inside each open bracket
    last: list[str] = []  # what a number would repeat
    position = 0
    while position < len(text):
        found = _PART.match(text, position)
        if not found:
            raise _no_order(text)
        opening, closing, number = found.groups()
        position = found.end()
        if opening == "(":
            stack.append([])
            last = []
        elif opening:
            last = [opening]
            stack[-1] += last
        elif closing == ")" and len(stack) > 1:
            last = stack.pop()
            stack[-1] += last
        elif number and last:
            stack[-1] += last * (int(number) - 1)
            last = []
        elif closing != ".":
            raise _no_order(text)
        if len(stack[-1]) > MOST_PARTS or len(stack) > MOST_PARTS:
            raise FieldError(
                f"With all its repeats this order has more than {MOST_PARTS} parts.",
                'Write a shorter order, and let the fields "passes" and "keys" in the front matter '
                "repeat the exercise.",
                "notation-size",
            )
    if len(stack) > 1:
        raise _no_order(text)
    return "".join(stack[0])


def _no_order(text: str) -> FieldError:
    return FieldError(
        f"{shown(text)} is not an order of parts.",
        'Write the letters of the parts, and a number after what is repeated: "P:AAB", "P:A2B" or '
        '"P:(AB)2C".',
    )
