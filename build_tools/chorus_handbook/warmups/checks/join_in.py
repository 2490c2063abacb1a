"""Where latecomers join in.

What it checks: that the item after the field `join_in` suits people who have not sung yet: its
impact is 3 or less, and it is learned at once (level 1, or level 2 if the chorus knows it already).
Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import LIMITS, Finding, found, item
from chorus_handbook.warmups.running_order import PlannedItem, RunningOrder

#: The highest impact and the highest effort to learn of an item that latecomers can join.
HIGHEST_IMPACT: int = LIMITS["join_in"]["impact"]
HIGHEST_EFFORT: int = LIMITS["join_in"]["effort"]


def suits_latecomers(item: PlannedItem) -> bool:
    """Whether people who have not sung yet can join in with this item."""
    return item.impact <= HIGHEST_IMPACT and item.effort_to_learn <= HIGHEST_EFFORT


def check_join_in(order: RunningOrder) -> Iterator[Finding]:
    """Yields at most one notice `warmup-join-in`, if the item with which latecomers begin does not
    suit them."""
    place = order.join_in
    if place is None or place >= len(order.items) or suits_latecomers(order.items[place]):
        return
    fact = "impact" if order.items[place].impact > HIGHEST_IMPACT else "level"
    yield found(order, "join-in", None, n=place, item=item(place, fact), impact=HIGHEST_IMPACT)
