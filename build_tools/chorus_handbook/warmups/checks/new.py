"""New items.

What it checks: that a warm-up has no more than one new item (one that the log has never seen sung),
that a new item does not take some weeks to learn (level 3), and that nothing is new on a concert
day. Source: common practice; repetition is how a chorus learns.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import Finding, found, items
from chorus_handbook.warmups.running_order import RunningOrder


def check_new(order: RunningOrder) -> Iterator[Finding]:
    """Yields notices `warmup-new`, at most one for each new item: there is another before it, it is
    hard to learn, or the day is that of a concert."""
    new = [place for place, item in enumerate(order.items) if item.status == "new"]
    for count, place in enumerate(new, 1):
        if order.occasion == "concert":
            yield found(order, "new-concert", place)
        elif order.items[place].level == 3:
            yield found(order, "new-hard", place)
        elif count > 1:
            name = "new-second" if count == 2 else "new-further"
            yield found(order, name, place, others=items(new[: count - 1]))
