"""The flat row of an exercise, whether it meets a rule, and its place in an order.

Rows, rules and conditions are plain data, ready for JSON, so that other programs can run the same
rule. Numbers are whole: semitones, MIDI numbers and counts as they are, everything else in
thousandths. `conditions.py` makes the conditions of what an author writes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Literal, TypedDict

from chorus_handbook.claims.subject import Subject
from chorus_handbook.views.fields import FIELDS, SCALE

#: A field's value; None is "not stated" or "not measured".
Value = int | bool | str | tuple[str, ...] | None
Row = Mapping[str, Value]

Test = Literal["one-of", "none-of", "between", "stated", "not-stated"]


class Condition(TypedDict):
    """One test of one field.

    `values` are what the field is compared with: the words or numbers of one-of and none-of; for
    between the lower and the upper bound, either None when open; nothing for the other two. A
    field that holds a list is met by any of its items.
    """

    field: str
    test: Test
    values: list[str | int | bool | None]


class Rule(TypedDict):
    """What a view asks: all conditions of `all`, and of one group in `any` when there are any."""

    all: list[Condition]
    any: list[list[Condition]]


def meets(row: Row, condition: Condition) -> bool:
    """Whether the row meets one condition. A field that is not stated meets only none-of and
    not-stated."""
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
    held = value if isinstance(value, tuple) else () if value is None else (value,)
    return any(item in values for item in held) == (test == "one-of")


def admits(rule: Rule, row: Row) -> bool:
    """Whether the row falls into a view."""
    return all(meets(row, condition) for condition in rule["all"]) and (
        not rule["any"]
        or any(all(meets(row, condition) for condition in group) for group in rule["any"])
    )


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


#: A key to sort by: for each field whether it is missing, its rank, its text.
Key = tuple[tuple[bool, int, str], ...]


def sort_key(
    row: Row, order: Sequence[str], ranks: dict[str, dict[str, int]]
) -> tuple[Key, str, str]:
    """A key by the fields of `order`, then title, then slug; what is not stated comes last.

    Numbers go upwards. `ranks` holds, by field, the places of its words in their own order
    (opening before middle before closing); words without a place go by the alphabet, after them.
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
