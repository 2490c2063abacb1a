"""Reads the ABC fields for meter (`M:`), unit of length (`L:`) and order of parts (`P:`) (section
3.1).
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

_METER = re.compile(r"\(?([0-9]{1,3}(?:[ \t]*\+[ \t]*[0-9]{1,3}){0,9})\)?[ \t]*/[ \t]*([0-9]{1,3})")
_UNIT = re.compile(r"1[ \t]*(?:/[ \t]*([0-9]{1,3}))?")
#: In the order of parts: a letter or "(", then ")" or ".", then a number of times.
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
            "Write two numbers such as M:3/4 or M:6/8, or M:C, M:C|, M:none",
        )
    beats, unit = sum(map(int, found[1].split("+"))), int(found[2])
    if unit not in UNITS or not 1 <= beats <= MOST_BEATS:
        raise FieldError(
            f"A meter of {beats}/{unit} is not possible.",
            f"The upper number is 1 to {MOST_BEATS}, the lower 1, 2, 4, 8, 16 or 32.",
        )
    return Meter(beats, unit)


def read_unit(text: str) -> Fraction:
    """The unit of length of an `L:` field, in quarters. Raises FieldError."""
    found = _UNIT.fullmatch(text)
    unit = int(found[1] or 1) if found else 0
    if unit < 1 or unit > _FINEST_UNIT or unit & (unit - 1):
        raise FieldError(
            f"{shown(text)} is not a note length.",
            "Write L:1/4 for quarters, L:1/8 for eighths; 1/64 is the shortest.",
        )
    return Fraction(4, unit)


def default_unit(meter: Meter) -> Fraction:
    """The unit of length without an `L:` field, in quarters (section 3.1.7)."""
    short = not meter.free and Fraction(meter.beats, meter.unit) < Fraction(3, 4)
    return Fraction(1, 4) if short else Fraction(1, 2)


def read_order(text: str) -> str:
    """The parts in the order of a `P:` field of the head, each a letter. Raises FieldError."""
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
                "An exercise is short; let passes and keys repeat it.",
                "notation-size",
            )
    if len(stack) > 1:
        raise _no_order(text)
    return "".join(stack[0])


def _no_order(text: str) -> FieldError:
    return FieldError(
        f"{shown(text)} is not an order of parts.",
        "Write the letters of the parts, numbers after what is repeated: P:AAB, P:A2B, P:(AB)2C",
    )
