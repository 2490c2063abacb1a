"""More time than there is.

What it checks: that a warm-up does not run over its field `minutes` by both more than a minute and
more than a tenth. Items that are sung only if there is time are not counted (our choice: they are
left out first). Source: common practice, which also never minds a warm-up that ends early.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.clock import over, total
from chorus_handbook.warmups.findings import Finding, found, item, time
from chorus_handbook.warmups.running_order import RunningOrder


def check_time(order: RunningOrder) -> Iterator[Finding]:
    """Yields at most one notice `warmup-time`, if the warm-up takes longer than there is time; it
    names the longest item."""
    needed = [place for place, one in enumerate(order.items) if not one.if_time]
    takes = total([order.items[place] for place in needed])
    if order.allowed is None or not over(takes, order.allowed):
        return
    longest = max(needed, key=lambda place: order.items[place].length)
    yield found(
        order,
        "time",
        None,
        time=time(takes),
        over=time(takes - order.allowed),
        item=item(longest),
        length=time(order.items[longest].length),
    )
