"""Changes of formation.

What it checks: that the formation (how the singers stand) changes no more than twice. A
formation that an exercise only suggests, such as rows or facing pairs, counts only if the plan
itself names it (our choice): otherwise the singers stay as they stand. Source: common practice;
each change takes most of a minute.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import seconds
from chorus_handbook.warmups.clock import BETWEEN, CHANGE, timetable
from chorus_handbook.warmups.running_order import SECOND, Finding, RunningOrder

#: How many changes draw no notice.
MOST_CHANGES = 2


def check_formation(order: RunningOrder) -> Iterator[Finding]:
    """Yields the notice `warmup-formation` at the item where the singers change formation for the
    third time."""
    changes = [place for place, slot in enumerate(timetable(order.items)) if slot.moves]
    if len(changes) > MOST_CHANGES:
        place = changes[MOST_CHANGES]
        extra = seconds(len(changes) * (CHANGE - BETWEEN) / SECOND)
        yield Finding(
            "warmup-formation",
            place,
            f"The formation changes {len(changes)} times, which takes {extra}; the third change "
            f"is before {order.items[place].named()}.",
            "Put items with the same formation next to each other, or have an item sung in the "
            'formation of the item before it: name that one under "formation".',
        )
