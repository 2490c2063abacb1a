"""Numbers as authors write them in conditions: "3", "2.5", "P5", "E5", "80 %"."""

from __future__ import annotations

import re
from decimal import Decimal

from chorus_handbook.pitch import Pitch, parse_interval
from chorus_handbook.views.fields import SCALE, Unit

#: What may stand for a number, by unit.
FORMS: dict[Unit, str] = {
    "count": "a whole number such as 3",
    "semitones": "semitones such as 7, or an interval such as P5",
    "pitch": "a note such as E5",
    "share": "a share such as 0.8 or 80 %",
    "decimal": "a number such as 3 or 2.5",
}

# Bounded on purpose: no author means more digits, and none may cost time.
_NUMBER = re.compile(r"-?\d{1,6}(\.\d{1,3})?", re.ASCII)


def read_number(text: str, unit: Unit) -> int:
    """The number in the whole units of a record. Raises ValueError when it is none."""
    text = text.strip()
    if unit == "semitones" and text[:1].isalpha():
        return parse_interval(text)[1]
    if unit == "pitch" and text[:1].isalpha():
        return Pitch.parse(text).midi
    percent = unit == "share" and text.endswith("%")
    digits = text.removesuffix("%").rstrip() if percent else text
    if not _NUMBER.fullmatch(digits):
        raise ValueError(f"{text!r} is not a number")
    scaled = Decimal(digits) * SCALE[unit] / (100 if percent else 1)
    if scaled != int(scaled):
        raise ValueError(f"{text!r} is finer than what is kept")
    return int(scaled)


def tell_number(value: int, unit: Unit) -> str:
    """A number of a record as an author would write it."""
    return f"{Decimal(value) / SCALE[unit]:f}"
