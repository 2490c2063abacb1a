"""Makes the row of an exercise (all its values in one flat table), tests rules on it, and sorts.

Rows, rules and conditions are plain data that can be written as JSON. All numbers are whole:
semitones, MIDI numbers and counts as they are, everything else in thousandths (`fields.SCALE`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal, TypedDict

from chorus_handbook.claims.subject import Subject
from chorus_handbook.views.fields import FIELDS, SCALE

#: The value of a field; None when it is not stated or could not be measured.
Value = int | bool | str | tuple[str, ...] | None
Row = Mapping[str, Value]

Test = Literal["one-of", "none-of", "between", "stated", "not-stated"]


class Condition(TypedDict):
    """One test of one field.

    `values` depends on the test. For "one-of" and "none-of" it has the words or numbers to compare
    with; for "between" the lower and the upper bound (either may be None); for "stated" and
    "not-stated" it is empty. For a field with a list, any of its items counts.
    """

    field: str
    test: Test
    values: list[str | int | bool | None]


class Rule(TypedDict):
    """The rule of a view: all conditions in `all` must be met, and all of at least one group in
    `any`, unless `any` is empty."""

    all: list[Condition]
    any: list[list[Condition]]


def meets(row: Row, condition: Condition) -> bool:
    """Whether a row meets one condition. A field without a value meets only "none-of" and
    "not-stated"."""
    value, values = row.get(condition["field"]), condition["values"]
    test = condition["test"]
    if test == "stated":
        return value is not None
    if test == "not-stated":
        return value is None
    if test == "between":
        low, high = values
        return (
            isinstance(value, int)
            and (not isinstance(low, int) or low <= value)
            and (not isinstance(high, int) or value <= high)
        )
    items = value if isinstance(value, tuple) else (value,)
    matches = value is not None and any(item in values for item in items)
    return matches if test == "one-of" else not matches


def admits(rule: Rule, row: Row) -> bool:
    """Whether an exercise with this row belongs to a view with this rule."""
    return all(meets(row, condition) for condition in rule["all"]) and (
        not rule["any"]
        or any(all(meets(row, condition) for condition in group) for group in rule["any"])
    )


def make_row(subject: Subject) -> Row:
    """The row of an exercise: its value for every field of `FIELDS`."""
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


#: A key to sort by: for each field, whether it is missing, its number, and its text.
Key = tuple[tuple[bool, int, str], ...]


def sort_key(
    row: Row, order: Sequence[str], ranks: dict[str, dict[str, int]]
) -> tuple[Key, str, str]:
    """A key that sorts rows by the fields in `order`, then by title, then by slug.

    Numbers sort upwards, and missing values last. `ranks` maps a field to the positions of its
    words in their own order (opening, middle, closing); other words follow in alphabetical order.
    """
    parts = []
    for name in order:
        value = row[name]
        if value is None:
            parts.append((True, 0, ""))
        elif isinstance(value, int):
            parts.append((False, value, ""))
        else:
            word = str(value)
            places = ranks.get(name, {})
            parts.append((False, places.get(word, len(places)), word.casefold()))
    return tuple(parts), str(row["title"]).casefold(), str(row["slug"])
