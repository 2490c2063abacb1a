"""The log: when each exercise was sung, and what that makes of it on a later day.

Repetition is how a chorus learns, so most of a warm-up stays for some weeks and little in it is
new. Only items with `sung: yes` count. All numbers are days. Common practice; where it leaves a
choice, ours is the one that gives fewer notices.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields

Status = Literal["new", "settling", "known", "resting"]

WEEK = 7
#: An exercise rests once it was not sung for so long.
RESTING = 8 * WEEK
#: It is known when it was sung so often in so long.
OFTEN, KNOWN_WITHIN = 3, 12 * WEEK
#: How many earlier warm-ups a log needs before it can tell what is new (our choice: the log of a
#: chorus that has just begun to write one says nothing of what the chorus has known for years).
ENOUGH_WARM_UPS = 3
#: So many weeks running are too many, unless it is to stay.
TOO_MANY_WEEKS = 8


@dataclass(frozen=True, slots=True)
class Log:
    """When each exercise was sung, by slug, and all days on which anything was; days are counted as
    `date.toordinal` does, in ascending order."""

    sung: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    days: tuple[int, ...] = ()

    def before(self, slug: str, day: int) -> tuple[int, ...]:
        """The days before this one on which an exercise was sung."""
        return tuple(sung for sung in self.sung.get(slug, ()) if sung < day)

    def young(self, day: int) -> bool:
        """Whether the log cannot tell yet, on this day, what is new."""
        return sum(other < day for other in self.days) < ENOUGH_WARM_UPS

    def status(self, slug: str, day: int) -> Status:
        """What an exercise is on a day. In a young log, what was never sung counts as settling."""
        before = self.before(slug, day)
        if not before:
            return "settling" if self.young(day) else "new"
        return status(before, day)


def log_of(warm_ups: Iterable[Text[WarmUpFields]]) -> Log:
    """The log that warm-ups hold."""
    sung: dict[str, set[int]] = {}
    for text in warm_ups:
        for item in text.front.items:
            if item.sung == "yes":
                sung.setdefault(item.exercise, set()).add(text.front.day.toordinal())
    days = set().union(*sung.values()) if sung else set()
    return Log({slug: tuple(sorted(found)) for slug, found in sung.items()}, tuple(sorted(days)))


def status(before: tuple[int, ...], day: int) -> Status:
    """What an exercise is on a day, after it was sung on the days `before`, in ascending order."""
    if not before:
        return "new"
    if day - before[-1] >= RESTING:
        return "resting"
    return "known" if sum(day - sung <= KNOWN_WITHIN for sung in before) >= OFTEN else "settling"


def weeks_running(before: tuple[int, ...], day: int) -> int:
    """In how many of the weeks before a day, counted back without a gap, it was sung. A week is the
    seven days that end on the same day of the week, so a rehearsal moved by a day breaks nothing
    but may count for the next week (our choice)."""
    weeks = {(day - sung - 1) // WEEK for sung in before if sung < day}
    return next(count for count in range(len(weeks) + 1) if count not in weeks)
