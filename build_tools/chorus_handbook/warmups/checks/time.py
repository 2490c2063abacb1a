"""Time over.

What it checks: that a warm-up takes no more than a tenth, and no more than a minute, longer than it
may. Items that are sung only if there is time do not count (our choice: they are what gives way).
Source: common practice; that under time is never wrong, too.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import seconds
from chorus_handbook.warmups.clock import over, total
from chorus_handbook.warmups.running_order import HALF_SECONDS, Finding, RunningOrder


def check_time(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-time`, which names the longest item."""
    needed = [item for item in order.items if not item.if_time]
    time = total(needed)
    if order.minutes is None or not over(time, order.minutes):
        return
    longest = max(needed, key=lambda item: item.length)
    yield Finding(
        "warmup-time",
        None,
        f"This takes {seconds(time / HALF_SECONDS)}, which is "
        f"{seconds((time - order.minutes) / HALF_SECONDS)} more than the minutes say. The longest "
        f'item is "{longest.title}" with {seconds(longest.length / HALF_SECONDS)}.',
        "Leave out an item, write fewer keys or minutes for one, or mark some with if_time: 1.",
        "minutes",
    )
