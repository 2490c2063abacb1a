"""What was before a warm-up: the log as far as its page needs it, and the warm-up before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.warmups.rotation import Log, log_of
from chorus_handbook.warmups.texts import warm_ups_in


@dataclass(frozen=True, slots=True)
class Earlier:
    """The last warm-up before another one: the path of its page, its date, and the exercises that
    were sung in it or, while nobody has said, were planned."""

    page: str
    date: str
    exercises: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class History:
    """What was before one warm-up. `log` holds only the exercises of that warm-up, and only what
    was sung before it, so that nothing else changes its page."""

    log: Log = field(default_factory=Log)
    last: Earlier | None = None


def history_of(text: Text[WarmUpFields], texts: Sequence[Text[Any]]) -> History:
    """What was before a warm-up; `texts` are all that there are."""
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
    return History(own, Earlier(last.page, last.front.date, exercises))


@dataclass(frozen=True, slots=True)
class TimeSung:
    """One day on which an exercise was sung: its date, the path of that warm-up's page, the highest
    key reached and what was remarked, each empty where nobody said."""

    date: str
    page: str
    top: str = ""
    remark: str = ""


def times_sung(texts: Sequence[Text[Any]]) -> dict[str, tuple[TimeSung, ...]]:
    """When each exercise was sung, by slug, the newest first."""
    found: dict[str, list[TimeSung]] = {}
    for text in reversed(warm_ups_in(texts)):
        for item in text.front.items:
            if item.sung == "yes":
                one = TimeSung(text.front.date, text.page, item.top or "", item.remark or "")
                found.setdefault(item.exercise, []).append(one)
    return {slug: tuple(times) for slug, times in found.items()}
