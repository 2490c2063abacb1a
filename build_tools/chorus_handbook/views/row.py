"""The flat row of an exercise: what conditions are held against, here and in other readers.

Numbers are whole: semitones, MIDI numbers and counts as they are, everything else in thousandths.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from chorus_handbook.claims.subject import Subject
from chorus_handbook.views.fields import FIELDS, SCALE

#: A field's value; None is "not stated" or "not measured".
Value = int | bool | str | tuple[str, ...] | None
Row = Mapping[str, Value]


def make_row(subject: Subject) -> Row:
    """Every field of `FIELDS`, ready for JSON."""
    row: dict[str, Value] = {}
    for name, field in FIELDS.items():
        value = field.value(subject)
        if field.kind == "words":
            row[name] = tuple(value) or None
        elif field.kind == "number" and value is not None:
            row[name] = round(value * SCALE[field.unit])
        else:
            row[name] = value
    return MappingProxyType(row)
