"""More time than there is.

What it checks: that a warm-up does not run over its field `minutes` by both more than a minute and
more than a tenth. Items that are sung only if there is time are not counted (our choice: they are
left out first). Source: common practice, which also never minds a warm-up that ends early.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import seconds
from chorus_handbook.warmups.clock import over, total
from chorus_handbook.warmups.running_order import SECOND, Finding, RunningOrder


def check_time(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-time`, at most one; it names the longest item."""
    needed = [item for item in order.items if not item.if_time]
    time = total(needed)
    if order.allowed is None or not over(time, order.allowed):
        return
    longest = max(needed, key=lambda item: item.length)
    yield Finding(
        "warmup-time",
        None,
        f"This warm-up takes {seconds(time / SECOND)}, which is "
        f'{seconds((time - order.allowed) / SECOND)} more than "minutes" says. The longest '
        f"item is {longest.named()} with {seconds(longest.length / SECOND)}.",
        "Leave out an item, or plan fewer keys or minutes for one, or mark those that can be "
        'left out with "if_time: 1".',
        "minutes",
    )
