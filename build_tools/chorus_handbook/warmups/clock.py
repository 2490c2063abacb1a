"""What a warm-up takes on the clock. All times are half-seconds; common practice.

An item takes its first time while it is new, its shorter time once it is known, and half-way
between the two otherwise. Between two items somebody speaks, or everybody walks; at the end there
are seats and folders.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chorus_handbook.entries.warm_up import DAY
from chorus_handbook.warmups.rotation import Status
from chorus_handbook.warmups.running_order import HALF_SECONDS, MINUTE, PlannedItem

#: Between two items, the same where the formation changes, and after the last.
BETWEEN, CHANGE, END = 15 * HALF_SECONDS, 45 * HALF_SECONDS, 60 * HALF_SECONDS


def length(first: int, known: int, status: Status) -> int:
    """What an item takes whose first time and known time are these."""
    if status == "new":
        return first
    return known if status == "known" else (first + known) // 2


@dataclass(frozen=True, slots=True)
class Slot:
    """When an item begins and ends, from the start of the warm-up. `moves`: the formation changes
    before it."""

    begins: int
    ends: int
    moves: bool = False


def timetable(items: Sequence[PlannedItem]) -> list[Slot]:
    """When each item begins and ends. An item that names no formation is sung wherever everybody
    stands (our choice)."""
    slots: list[Slot] = []
    now, standing = 0, ""
    for item in items:
        moves = bool(standing and item.formation and item.formation != standing)
        if slots:
            now += CHANGE if moves else BETWEEN
        slots.append(Slot(now, now + item.length, moves))
        now += item.length
        standing = item.formation or standing
    return slots


def total(items: Sequence[PlannedItem]) -> int:
    """What all items take, with what lies between them and after the last."""
    return timetable(items)[-1].ends + END if items else 0


def cut_order(items: Sequence[PlannedItem]) -> list[int]:
    """The places of the items that are sung only if there is time, first to be left out first."""
    optional = [(item.if_time, -place) for place, item in enumerate(items) if item.if_time]
    return [-place for _, place in sorted(optional)]


def refit(items: Sequence[PlannedItem], time: int) -> list[int]:
    """The places of the items to leave out, in cut order, so that the others fit into `time`; all
    that may be left out if even that is not enough."""
    cut: list[int] = []
    for place in cut_order(items):
        if total([item for n, item in enumerate(items) if n not in cut]) <= time:
            break
        cut.append(place)
    return cut


def over(time: int, limit: int) -> bool:
    """Whether a time is more than a minute and more than a tenth beyond its limit."""
    return time - limit > MINUTE and 10 * time > 11 * limit


def time_of_day(begins: int, half_seconds: int) -> str:
    """The time on the clock, down to the minute, so long after a beginning in minutes since
    midnight."""
    hours, minutes = divmod((begins + half_seconds // MINUTE) % DAY, 60)
    return f"{hours}:{minutes:02}"
