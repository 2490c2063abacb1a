"""Changes of formation.

What it checks: that the formation (how the singers stand) changes no more than twice. A
formation that an exercise only suggests, such as rows or facing pairs, counts only if the plan
itself names it (our choice): otherwise the singers stay as they stand. Source: common practice;
each change takes most of a minute.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.clock import BETWEEN, CHANGE, timetable
from chorus_handbook.warmups.findings import LIMITS, Finding, found, time
from chorus_handbook.warmups.running_order import RunningOrder

#: How many changes draw no notice.
MOST_CHANGES: int = LIMITS["most_changes"]


def check_formation(order: RunningOrder) -> Iterator[Finding]:
    """Yields at most one notice `warmup-formation` at the item where the singers change formation
    for the third time."""
    changes = [place for place, slot in enumerate(timetable(order.items)) if slot.moves]
    if len(changes) > MOST_CHANGES:
        # how much longer all changes take than the pauses that there would be otherwise
        extra = time(len(changes) * (CHANGE - BETWEEN))
        yield found(order, "formation", changes[MOST_CHANGES], n=len(changes), time=extra)
