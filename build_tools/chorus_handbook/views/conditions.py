"""Reads one condition of a view, such as `impact: at most 2`, into plain data.

An author writes a value, a list of values (any of which may hold), or words: "at most 2", "at least
4", "between 2 and 3", "not hum", "stated", "not stated". A number can be written as "3", "2.5",
"P5" (an interval), "E5" (a note) or "80 %".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from chorus_handbook.pitch import Pitch, parse_interval
from chorus_handbook.problems import did_you_mean, in_quotes
from chorus_handbook.source import clip
from chorus_handbook.views.evaluate import Condition, Test
from chorus_handbook.views.fields import FIELDS, SCALE, Field, Unit

#: "at most 2", "at least 2" or "between 2 and 3".
_BOUND = re.compile(r"at (most|least) (.+)|between (.+?) and (.+)", re.IGNORECASE)
#: The conditions on whether a field has a value at all.
_STATED: dict[str, Test] = {"stated": "stated", "not stated": "not-stated"}
#: A message lists the values that a field can have only if there are no more than this.
_MOST_LISTED = 30
#: The most characters of a value that are read.
_MOST_CHARACTERS = 300

#: How a number of each unit may be written, for messages.
FORMS: dict[Unit, str] = {
    "count": 'a whole number such as "3"',
    "semitones": 'semitones such as "7", or an interval such as "P5"',
    "pitch": 'a note such as "E5"',
    "share": 'a share such as "0.8" or "80 %"',
    "decimal": 'a number such as "3" or "2.5"',
}

# The number of digits is limited because converting very many is slow, and no author needs more.
_NUMBER = re.compile(r"-?\d{1,6}(\.\d{1,3})?", re.ASCII)


class ConditionError(ValueError):
    """A condition that cannot be read, or that can never be met. Its text is the message for the
    author, `hint` says what to write instead."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.hint = hint


def read_condition(name: str, value: object, known: Sequence[str] | None) -> Condition:
    """Read the `value` that an author wrote as a condition on the field `name` of `FIELDS`.

    `known` are the words that the field can have, None when it can have any. Raises ConditionError.
    """
    field = FIELDS[name]
    if value == []:
        raise ConditionError(
            f'The list after "{name}:" is empty.', "Write at least one value between the brackets."
        )
    items = value if isinstance(value, list) else [value]
    if isinstance(value, str):
        text = " ".join(value[:_MOST_CHARACTERS].split())
        low = text.lower()
        if low in _STATED:
            return {"field": name, "test": _STATED[low], "values": []}
        if found := _BOUND.fullmatch(text):
            return _between(name, field, found)
        if low.startswith("not "):
            without = _single_value(name, field, text[len("not ") :], known)
            return {"field": name, "test": "none-of", "values": [without]}
        items = [text]
    values: list[str | int | bool | None] = [
        _single_value(name, field, item, known) for item in items
    ]
    return {"field": name, "test": "one-of", "values": values}


def _between(name: str, field: Field, found: re.Match[str]) -> Condition:
    """The condition for a text that matched `_BOUND`, such as "at most 2" or "between 2 and 3".
    Raises ConditionError."""
    if field.kind != "number":
        raise ConditionError(
            f'"{name}" is not a number, so it cannot be "{clip(found[0])}".',
            _how_to_write(field),
        )
    most_or_least, bound, first, last = found.groups()
    low = high = None
    if most_or_least:
        number = _number(name, field, bound)
        low, high = (None, number) if most_or_least.lower() == "most" else (number, None)
    else:
        low, high = _number(name, field, first), _number(name, field, last)
        if low > high:
            raise ConditionError(
                f"{clip(first)} is larger than {clip(last)}, so nothing is between them.",
                f'Write the smaller one first: "between {clip(last)} and {clip(first)}".',
            )
    least, most = _limits(field)
    if (high is not None and least is not None and high < least) or (
        low is not None and most is not None and low > most
    ):
        raise _out_of_bounds(name, field, found[0])
    return {"field": name, "test": "between", "values": [low, high]}


def _single_value(
    name: str, field: Field, value: object, known: Sequence[str] | None
) -> str | int | bool:
    """One value of a condition, in the form that rows have it. Raises ConditionError."""
    if field.kind == "yes-no":
        word = str(value).lower()
        if word not in ("true", "yes", "false", "no"):
            raise ConditionError(
                f'"{name}" must be yes or no, not "{clip(_shown(value))}".', 'Write "yes" or "no".'
            )
        return word in ("true", "yes")
    if field.kind == "number":
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            message = f'"{name}" must be a number, not "{clip(_shown(value))}".'
            raise ConditionError(message, _how_to_write(field))
        number = _number(name, field, _shown(value))
        least, most = _limits(field)
        if (least is not None and number < least) or (most is not None and number > most):
            raise _out_of_bounds(name, field, _shown(value))
        return number
    if value is None or isinstance(value, bool | list | dict) or not _shown(value).strip():
        raise ConditionError(f'The condition "{name}:" has no value.', _how_to_write(field))
    word = " ".join(_shown(value).split())
    if known is not None and word not in known:
        raise ConditionError(
            f'"{name}" cannot be "{clip(word)}".{did_you_mean(clip(word), known)}',
            f"Write one of these: {in_quotes(known)}."
            if 0 < len(known) <= _MOST_LISTED
            else f'Check the spelling: no exercise can have this after "{name}:".',
        )
    return word


def _number(name: str, field: Field, text: str) -> int:
    """Read a number for a field, in the units of a row. Raises ConditionError."""
    try:
        return read_number(text, field.unit)
    except ValueError:
        raise ConditionError(f'"{name}" cannot be "{clip(text)}".', _how_to_write(field)) from None


def _limits(field: Field) -> tuple[int | None, int | None]:
    """The least and the most that a number field can be, in the units of a row (see `SCALE`); None
    where there is no limit."""
    scale = SCALE[field.unit]
    return (
        None if field.least is None else round(field.least * scale),
        None if field.most is None else round(field.most * scale),
    )


def _out_of_bounds(name: str, field: Field, text: str) -> ConditionError:
    least, most = _limits(field)
    bounds = [
        f"at {word} {write_number(bound, field.unit)}"
        for word, bound in (("least", least), ("most", most))
        if bound is not None
    ]
    return ConditionError(
        f'"{name}" cannot be "{clip(text)}": it is {" and ".join(bounds)}.', _how_to_write(field)
    )


def _how_to_write(field: Field) -> str:
    if field.kind == "number":
        return (
            f"Write {FORMS[field.unit]}; or several of them in brackets; or words such as "
            '"at most 2", "at least 2", "between 2 and 3", "not 2", "stated" or "not stated".'
        )
    return 'Write a word, several words in brackets, "not" and a word, "stated" or "not stated".'


def _shown(value: object) -> str:
    """A value as the author wrote it; for a list or a group of fields only "a list" or "a group of
    fields"."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "a list"
    return "a group of fields" if isinstance(value, dict) else str(value)[:_MOST_CHARACTERS]


def read_number(text: str, unit: Unit) -> int:
    """Read a number as a whole number in the units of a row (see `SCALE`): "2.5" minutes is 2500.
    Raises ValueError."""
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
        raise ValueError(f"{text!r} has more decimals than are compared")
    return int(scaled)


def write_number(value: int, unit: Unit) -> str:
    """Write a number of a row as an author would: 2500 is "2.5"."""
    return f"{Decimal(value) / SCALE[unit]:f}"
