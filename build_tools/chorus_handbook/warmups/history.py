"""Finds what was sung before a warm-up, and where each exercise is used.

The page of a warm-up shows what has changed since the last one; the page of an exercise lists the
warm-ups and routines that have it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import RoutineFields, WarmUpFields
from chorus_handbook.warmups.rotation import OFTEN, Log, expected_log, log_of
from chorus_handbook.warmups.texts import plans_in, warm_ups_in


@dataclass(frozen=True, slots=True)
class Earlier:
    """The warm-up before another one: the path of its page and its date (2026-09-03).

    exercises: the slugs of the exercises that were sung in it, or of all planned ones if its log is
        empty. `planned`: whether its log is empty.
    unlearned: those of `exercises` that had been sung up to then, but fewer than three times.
    """

    page: str
    date: str
    exercises: tuple[str, ...]
    unlearned: tuple[str, ...] = ()
    planned: bool = False


@dataclass(frozen=True, slots=True)
class History:
    """What was sung before one warm-up.

    log: the log of that warm-up's own exercises, before its day; earlier warm-ups that are still to
        come count as sung, as for `handbook check`. It holds nothing else, because the warm-up's
        page is made again whenever it changes.
    last: the warm-up before it; None for the first.
    last_new: the last date on which something was sung for the first time; empty if the log is too
        young to tell.
    """

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
    expected = expected_log(warm_ups_in(texts))
    own = Log(
        {slug: found for slug in wanted if (found := expected.before(slug, day))},
        tuple(other for other in expected.days if other < day),
    )
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
        Earlier(last.page, last.front.date, exercises, unlearned, planned=not sung),
        "" if newest is None or log.young(day) else date.fromordinal(newest).isoformat(),
    )


@dataclass(frozen=True, slots=True)
class Appearance:
    """One warm-up that has an exercise: its date (2026-09-03), the path of its page and its title.
    `planned` means that the log says nothing of the exercise yet; otherwise it was sung, or has a
    remark that says why not. `top` is the highest key reached ("E4"), `remark` what to remember;
    both are empty if the log does not have them."""

    date: str
    page: str
    title: str
    sung: bool = False
    planned: bool = False
    top: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Uses:
    """Where an exercise is used.

    warm_ups: the warm-ups that have it, the latest first.
    routines: the routines that have it, each as the path of its page and its title.
    sung: the days on which it was sung, as `date.toordinal` counts, in ascending order.
    """

    warm_ups: tuple[Appearance, ...] = ()
    routines: tuple[tuple[str, str], ...] = ()
    sung: tuple[int, ...] = ()


def uses_in(texts: Sequence[Text[Any]]) -> dict[str, Uses]:
    """The uses of every exercise that a warm-up or a routine names, keyed by its slug."""
    warm_ups = warm_ups_in(texts)
    log = log_of(warm_ups)
    appearances: dict[str, list[Appearance]] = {}
    routines: dict[str, list[tuple[str, str]]] = {}
    for text in reversed(warm_ups):
        for item in text.front.items:
            if item.sung in (None, "yes") or item.remark:
                one = Appearance(
                    *(text.front.date, text.page, text.title),
                    sung=item.sung == "yes",
                    planned=item.sung is None,
                    top=item.top or "",
                    remark=item.remark or "",
                )
                appearances.setdefault(item.exercise, []).append(one)
    for plan in plans_in(texts):
        if isinstance(plan.front, RoutineFields):
            for slug in {item.exercise for item in plan.front.items}:
                routines.setdefault(slug, []).append((plan.page, plan.title))
    return {
        slug: Uses(
            tuple(appearances.get(slug, ())),
            tuple(routines.get(slug, ())),
            log.sung.get(slug, ()),
        )
        for slug in sorted({*appearances, *routines})
    }
