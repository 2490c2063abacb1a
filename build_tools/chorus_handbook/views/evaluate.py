"""Whether a row meets a rule. Small on purpose: the same rule is run by other readers.

A rule and its conditions are plain data, ready for JSON. `conditions.py` makes them.
"""

from __future__ import annotations

from typing import Literal, TypedDict

from chorus_handbook.views.row import Row

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
    """Whether the row meets one condition. What is not stated meets only none-of and
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
