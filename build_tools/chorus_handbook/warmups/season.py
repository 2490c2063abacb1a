"""Finds what the log shows about the last weeks, which the page of a warm-up then tells its
planner.

None of it is a problem: repetition and rest are both good, and one warm-up need not serve every
goal. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import get_args

from chorus_handbook.chorus.model import Family
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.warmups.history import History
from chorus_handbook.warmups.rotation import WEEK, Log, in_window

#: When nothing has been new for this many days, the page of the warm-up says so.
_NOTHING_NEW = 5 * WEEK


def left_out_early(front: WarmUpFields, history: History) -> tuple[str, ...]:
    """The slugs of exercises that were in the last warm-up and had been sung fewer than three
    times, so that they are not known yet, and that this warm-up leaves out."""
    now = {item.exercise for item in front.items}
    return tuple(
        slug for slug in (history.last.unlearned if history.last else ()) if slug not in now
    )


def nothing_new_since(front: WarmUpFields, history: History) -> date | None:
    """The last day on which something new was sung, if it is five weeks or more before this warm-up
    and nothing is new in this warm-up either; else None."""
    if not history.last_new:
        return None
    last, day = date.fromisoformat(history.last_new), front.day.toordinal()
    if day - last.toordinal() < _NOTHING_NEW:
        return None
    new = any(history.log.status(item.exercise, day) == "new" for item in front.items)
    return None if new else last


def last_day(log: Log, today: int) -> int | None:
    """The last day of the log that has come by `today`; where all are still to come, the last of
    them. None for an empty log. Days are numbered as by `date.toordinal`."""
    come = [day for day in log.days if day <= today]
    return max(come or log.days, default=None)


def families_sung(
    log: Log, families: Mapping[str, Iterable[Family]], end: int
) -> dict[Family, dict[str, tuple[int, ...]]]:
    """What was sung in the four weeks that end with the day `end`. The result maps each family
    of goals to its exercises, and the slug of each exercise, those sung most often first, to the
    days on which it was sung. It is empty for an empty log. `families` maps the slug of each
    exercise to the families of its goals."""
    if not log.days:
        return {}
    lately = {
        slug: tuple(day for day in days if in_window(day, end)) for slug, days in log.sung.items()
    }
    ordered = sorted(lately, key=lambda slug: (-len(lately[slug]), slug))
    return {
        family: {
            slug: lately[slug]
            for slug in ordered
            if lately[slug] and family in families.get(slug, ())
        }
        for family in get_args(Family)
    }
