"""The log: on which days each exercise was sung, and whether it is new or known on a later day.

Repetition is how a chorus learns, so most of a warm-up stays the same for some weeks and little in
it is new. Only items that a warm-up's file marks with `sung: yes` count. Days are numbered as by
`date.toordinal`. Source: common practice; where that leaves a choice, we take what gives fewer
notices.

The browser shows on pages which status an exercise has today: `browser/rotation.js` has the same
rule, and both read its numbers from `browser/shared_facts.js`. Change them together, with a case in
`tests/cases/rotation/`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.shared_facts import FACTS

#: How well a chorus knows an exercise on a day: it was never sung before that day; it was sung, but
#: too seldom to be known; it was sung often enough lately; it was not sung for eight weeks or more.
Status = Literal["new", "settling", "known", "resting"]

WEEK = 7  # days
_RULE: Mapping[str, int] = FACTS["rotation"]
#: An exercise that was not sung for this many days is "resting".
RESTING = _RULE["resting"]
#: An exercise is "known" when it was sung on this many days within this many days.
OFTEN, KNOWN_WITHIN = _RULE["often"], _RULE["known_within"]
#: A log with fewer days than this cannot tell what is new (our choice: a chorus that has just begun
#: to keep a log may have known many exercises for years).
ENOUGH_WARM_UPS = _RULE["enough"]
#: The days that count as lately, for instance when the families of goals are compared.
WINDOW = _RULE["window"]


@dataclass(frozen=True, slots=True)
class Log:
    """`sung` maps the slug of each exercise to the days on which it was sung; `days` holds all days
    on which anything was sung. Both are in ascending order."""

    sung: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    days: tuple[int, ...] = ()

    def before(self, slug: str, day: int) -> tuple[int, ...]:
        """The days before `day` on which the exercise was sung, in ascending order."""
        return tuple(sung for sung in self.sung.get(slug, ()) if sung < day)

    def young(self, day: int) -> bool:
        """Whether the log holds too few days before `day` to tell what is new."""
        return sum(other < day for other in self.days) < ENOUGH_WARM_UPS

    def status(self, slug: str, day: int) -> Status:
        """The status of an exercise on a day. In a young log, an exercise that was never sung
        counts as "settling", not as "new"."""
        before = self.before(slug, day)
        if not before:
            return "settling" if self.young(day) else "new"
        return status(before, day)


def log_of(warm_ups: Iterable[Text[WarmUpFields]]) -> Log:
    """The log made of all items of `warm_ups` that are marked as sung."""
    sung: dict[str, set[int]] = {}
    for text in warm_ups:
        for item in text.front.items:
            if item.sung == "yes":
                sung.setdefault(item.exercise, set()).add(text.front.day.toordinal())
    days = set().union(*sung.values()) if sung else set()
    return Log({slug: tuple(sorted(found)) for slug, found in sung.items()}, tuple(sorted(days)))


def to_come(warm_ups: Sequence[Text[WarmUpFields]]) -> list[Text[WarmUpFields]]:
    """The warm-ups that come after the last day of which anything is logged."""
    logged = [text.front.day for text in warm_ups if any(item.sung for item in text.front.items)]
    last = max(logged, default=None)
    return [text for text in warm_ups if last is None or text.front.day > last]


def expected_log(warm_ups: Sequence[Text[WarmUpFields]]) -> Log:
    """The log as it should be by the time of a later warm-up: `log_as_planned`. If nothing was ever
    logged, it stays empty, since nobody seems to keep a log."""
    log = log_of(warm_ups)
    return log_as_planned(warm_ups) if log.days else log


def log_as_planned(warm_ups: Sequence[Text[WarmUpFields]]) -> Log:
    """The log as if all items of the warm-ups that are `to_come` had been sung as planned."""
    log = log_of(warm_ups)
    sung = {slug: {*days} for slug, days in log.sung.items()}
    for text in to_come(warm_ups):
        for item in text.front.items:
            sung.setdefault(item.exercise, set()).add(text.front.day.toordinal())
    days = set().union(*sung.values()) if sung else set()
    return Log({slug: tuple(sorted(found)) for slug, found in sung.items()}, tuple(sorted(days)))


def status(before: tuple[int, ...], day: int) -> Status:
    """The status on `day` of an exercise that was sung on the days `before`, which are in ascending
    order and all earlier than `day`."""
    if not before:
        return "new"
    if day - before[-1] >= RESTING:
        return "resting"
    return "known" if sum(day - sung <= KNOWN_WITHIN for sung in before) >= OFTEN else "settling"


def in_window(day: int, end: int) -> bool:
    """Whether a day lies in the four weeks that end with the day `end`, which is one of them."""
    return day <= end and end - day < WINDOW


def weeks_running(before: tuple[int, ...], day: int) -> int:
    """In how many weeks in a row, counted back from `day`, an exercise was sung. `before` holds the
    days on which it was sung. A week is seven days counted back from `day`, not from Monday, so a
    rehearsal that was moved by a day may fall into the week beside its own (our choice)."""
    weeks = {(day - sung - 1) // WEEK for sung in before if sung < day}
    return next(count for count in range(len(weeks) + 1) if count not in weeks)
