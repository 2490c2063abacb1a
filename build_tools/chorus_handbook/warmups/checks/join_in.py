"""Where latecomers join in.

What it checks: that the item after the field `join_in` suits people who have not sung yet: light
singing at most (impact 3), and learned at once (level 1, or level 2 once it is known). Source:
common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, PlannedItem, RunningOrder

#: The highest impact and the highest effort to learn of an item that latecomers can join.
IMPACT, LEVEL = 3, 1


def suits_latecomers(item: PlannedItem) -> bool:
    """Whether people who have not sung yet can join in with this item."""
    return item.impact <= IMPACT and item.effort_to_learn <= LEVEL


def check_join_in(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-join-in`, at most one."""
    place = order.join_in
    if place is None or place >= len(order.items) or suits_latecomers(order.items[place]):
        return
    item = order.items[place]
    amount = (
        f"impact {item.impact}" if item.impact > IMPACT else f"level {item.level} ({item.status})"
    )
    yield Finding(
        "warmup-join-in",
        None,
        f"Latecomers join in after item {place} and meet {item.named(amount)} with cold voices.",
        f"Let them in before an item of impact {IMPACT} or less that can be sung at once, or move "
        "such an item there.",
        "join_in",
    )
