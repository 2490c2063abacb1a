"""Computes how long a warm-up takes, and when each item begins. All times are half-seconds.

An exercise has two times: one for when it is new to the chorus, and a shorter one for when it is
known; while it is neither, it takes the mean of both. Time is added between two items, for talking
or for walking into another formation, and after the last, for finding seats and folders. Source:
common practice. The browser has the same clock (`browser/clock.js`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chorus_handbook.entries.warm_up import DAY
from chorus_handbook.shared_facts import FILE, read_table
from chorus_handbook.warmups.rotation import Status
from chorus_handbook.warmups.running_order import MINUTE, PlannedItem

_CLOCK = read_table(FILE.with_name("warm_up_rules.js"), "RULES")["clock"]
#: The time added between two items. This and the next two are in half-seconds.
BETWEEN: int = _CLOCK["between"]
#: The time added instead where the formation changes between them.
CHANGE: int = _CLOCK["change"]
#: The time added after the last item.
END: int = _CLOCK["end"]


def length(first: int, known: int, status: Status) -> int:
    """The time of an item with this status. `first` is its time when it is new, `known` its time
    when it is known; all are half-seconds."""
    if status == "new":
        return first
    return known if status == "known" else (first + known) // 2


@dataclass(frozen=True, slots=True)
class Slot:
    """When an item begins and ends, in half-seconds from the start of the warm-up. `moves`: whether
    the singers change from one formation to another before it. `forms`: whether they take up a
    formation before it, be it such a change or the first formation of all."""

    begins: int
    ends: int
    moves: bool = False
    forms: bool = False


def timetable(items: Sequence[PlannedItem]) -> list[Slot]:
    """One slot for each item. An item without a formation, or one that may be sung as the singers
    stand, is sung in the formation of the item before it (our choice). A second block begins at its
    own time, or as soon as the first has ended."""
    slots: list[Slot] = []
    now, standing = 0, ""  # `standing`: the formation in which the singers stand
    for item in items:
        if item.at is not None:
            standing = ""  # nobody is standing yet where a later block begins
        formation = "" if item.as_they_stand else item.formation
        forms = bool(formation) and formation != standing
        moves = forms and bool(standing)
        if slots:
            now += CHANGE if moves else BETWEEN
        now = max(now, item.at or 0)
        slots.append(Slot(now, now + item.length, moves, forms))
        now += item.length
        standing = formation or standing
    return slots


def total(items: Sequence[PlannedItem]) -> int:
    """The time of all items in half-seconds, including the time between and after them, but not
    the time before a second block; 0 if there are none."""
    slots = timetable(items)
    waits = sum(
        max(0, slot.begins - before.ends)
        for item, before, slot in zip(items[1:], slots, slots[1:], strict=False)
        if item.at is not None
    )
    return slots[-1].ends - waits + END if items else 0


def cut_order(items: Sequence[PlannedItem]) -> list[int]:
    """The places, from 0, of the items that are sung only if there is time. The first to be left
    out comes first: lower `if_time` before higher, and of equal ones the later item."""
    optional = [(item.if_time, -place) for place, item in enumerate(items) if item.if_time]
    return [-place for _, place in sorted(optional)]


def over(time: int, limit: int) -> bool:
    """Whether `time` exceeds `limit` by both more than a minute and more than a tenth; both in
    half-seconds."""
    return time - limit > MINUTE and 10 * time > 11 * limit


def time_of_day(begins: int, half_seconds: int) -> str:
    """The time of day `half_seconds` after `begins`, such as "19:42", rounded down to the minute.
    `begins` is in minutes since midnight."""
    hours, minutes = divmod((begins + half_seconds // MINUTE) % DAY, 60)
    return f"{hours}:{minutes:02}"
