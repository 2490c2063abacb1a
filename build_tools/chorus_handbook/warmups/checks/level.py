"""A first item that is hard to learn.

What it checks: that a warm-up does not begin with an exercise that takes some weeks to learn (level
3), unless the log shows that the chorus knows it already. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import Finding, found
from chorus_handbook.warmups.running_order import RunningOrder


def check_level(order: RunningOrder) -> Iterator[Finding]:
    """Yields at most one notice `warmup-level`, if the first item is too hard to begin with."""
    first = order.items[0]
    if first.level == 3 and first.status != "known":
        yield found(order, "level", 0)
