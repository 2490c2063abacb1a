"""Reads a date as people type it, such as "next Thursday", and writes it as "Thursday 3 December
2026"."""

from __future__ import annotations

import re
from datetime import date, timedelta

from chorus_handbook.entries.warm_up import read_date

#: In English whatever the language of the computer is, like all questions at the keyboard.
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August", "September"),
    *("October", "November", "December"),
)
#: How many letters of the name of a day or a month must be typed at least.
_FEWEST_LETTERS = 3
_HOW_TO_WRITE = "write it like 2026-12-03, 3 December 2026, Thursday or next Thursday"


def read_day(text: str, today: date) -> date:
    """Read a day: "2026-12-03", "3 December 2026", "December 3", "today", "tomorrow", "Thursday" or
    "next Thursday". Names may be cut to three letters, and a weekday may stand before a date.

    A date without a year is the first such date from today on. "Thursday" is the first from today
    on, and "next Thursday" the first after today (our choice: people mean different days by it, so
    the caller should show which day was understood). Raises ValueError, with a sentence for the
    author.
    """
    words = re.sub(r"[,.]|(?<=\d)(st|nd|rd|th)\b", " ", text.casefold()).split()
    later = words[:1] == ["next"]
    if words[:1] in (["next"], ["on"], ["this"]):
        del words[0]
    soon = {"today": 0, "tonight": 0, "tomorrow": 1}
    if len(words) == 1 and words[0] in soon:
        return today + timedelta(days=soon[words[0]])
    weekday = _position(words[0], _WEEKDAYS) if words else None
    if weekday is not None and len(words) == 1:
        first = today + timedelta(days=later)
        return first + timedelta(days=(weekday - first.weekday()) % 7)
    day = _in_calendar(words if weekday is None else words[1:], text.strip(), today)
    if weekday is not None and day.weekday() != weekday:
        raise ValueError(f"{named_day(day)} is not a {_WEEKDAYS[weekday]}; correct one of the two")
    return day


def named_day(day: date) -> str:
    """Write a day like "Thursday 3 December 2026"."""
    return f"{_WEEKDAYS[day.weekday()]} {short_day(day)} {day.year}"


def short_day(day: date) -> str:
    """Write a day like "3 December"."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def _in_calendar(words: list[str], text: str, today: date) -> date:
    """The date that these words state, such as ["3", "december"]; without a year, the first such
    date from `today` on. `text` is what was typed, for messages. Raises ValueError."""
    if len(words) == 1 and "-" in words[0]:
        return read_date(words[0])
    if len(words) in (2, 3) and not words[0].isdecimal():  # December 3
        words = [words[1], words[0], *words[2:]]
    month = _position(words[1], _MONTHS) if len(words) in (2, 3) else None
    numbers = [words[0], *words[2:]] if month is not None else []
    if month is None or not all(re.fullmatch("[0-9]{1,2}|[0-9]{4}", word) for word in numbers):
        raise ValueError(f'"{text}" is not a day that can be read; {_HOW_TO_WRITE}')
    # The next 29 February may be eight years away.
    for year in [int(numbers[1])] if len(numbers) > 1 else range(today.year, today.year + 9):
        try:
            found = date(year, month + 1, int(numbers[0]))
        except ValueError:
            continue
        if len(numbers) > 1 or found >= today:
            return found
    raise ValueError(f'"{text}" is not in the calendar; write a date that exists')


def _position(word: str, names: tuple[str, ...]) -> int | None:
    """The index in `names` of the name that begins with this word; None if there is none."""
    if len(word) < _FEWEST_LETTERS:
        return None
    return next((n for n, name in enumerate(names) if name.casefold().startswith(word)), None)
