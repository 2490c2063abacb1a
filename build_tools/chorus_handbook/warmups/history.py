"""Finds what was sung before a warm-up, and when each exercise was sung.

The page of a warm-up shows what has changed since the last one; the page of an exercise lists the
days on which it was sung.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.warmups.rotation import OFTEN, Log, log_of
from chorus_handbook.warmups.texts import warm_ups_in


@dataclass(frozen=True, slots=True)
class Earlier:
    """The warm-up before another one: the path of its page, its date (2026-09-03), and the slugs of
    the exercises that were sung in it, or of all planned ones if its log is empty. `unlearned` are
    those of them that had been sung, but fewer than three times."""

    page: str
    date: str
    exercises: tuple[str, ...]
    unlearned: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class History:
    """What was sung before one warm-up. `log` holds only that warm-up's own exercises and only
    earlier days, so that no other change in the log makes its page anew. `last` is the warm-up
    before it, None for the first. `last_new` is the date of the last day on which something was
    sung for the first time; empty in a log too young to tell."""

    log: Log = field(default_factory=Log)
    last: Earlier | None = None
    last_new: str = ""


def history_of(text: Text[WarmUpFields], texts: Sequence[Text[Any]]) -> History:
    """The history of the warm-up `text`. `texts` holds all texts of the handbook; those that are
    not warm-ups are ignored."""
    day = text.front.day.toordinal()
    before = [one for one in warm_ups_in(texts) if one.front.day.toordinal() < day]
    log = log_of(before)
    wanted = {item.exercise for item in text.front.items}
    own = Log({slug: days for slug, days in log.sung.items() if slug in wanted}, log.days)
    if not before:
        return History(own)
    last = before[-1]
    sung = [item.exercise for item in last.front.items if item.sung == "yes"]
    planned = [item.exercise for item in last.front.items]
    exercises = tuple(dict.fromkeys(sung or planned))
    times = {slug: len(log.sung.get(slug, ())) for slug in exercises}
    unlearned = tuple(slug for slug, count in times.items() if 0 < count < OFTEN)
    newest = max((days[0] for days in log.sung.values()), default=None)
    return History(
        own,
        Earlier(last.page, last.front.date, exercises, unlearned),
        "" if newest is None or log.young(day) else date.fromordinal(newest).isoformat(),
    )


@dataclass(frozen=True, slots=True)
class TimeSung:
    """One day on which an exercise was sung: its date (2026-09-03), the path of that warm-up's
    page, the highest key reached ("E4") and the remark. The last two are empty if the log does not
    have them."""

    date: str
    page: str
    top: str = ""
    remark: str = ""


def times_sung(texts: Sequence[Text[Any]]) -> dict[str, tuple[TimeSung, ...]]:
    """The days on which each exercise was sung, by its slug, the latest first."""
    found: dict[str, list[TimeSung]] = {}
    for text in reversed(warm_ups_in(texts)):
        for item in text.front.items:
            if item.sung == "yes":
                one = TimeSung(text.front.date, text.page, item.top or "", item.remark or "")
                found.setdefault(item.exercise, []).append(one)
    return {slug: tuple(times) for slug, times in found.items()}
