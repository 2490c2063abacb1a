"""The same item week after week.

What it checks: that no item was sung in each of the eight weeks before the warm-up, unless the item
is the season's opener or closer (field `keep`). Source: common practice; what is sung too many
weeks in a row is sung without listening.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.rotation import TOO_MANY_WEEKS
from chorus_handbook.warmups.running_order import Finding, RunningOrder


def check_running(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-running` for each such item."""
    for place, item in enumerate(order.items):
        if item.weeks_running >= TOO_MANY_WEEKS and item.keep is None:
            yield Finding(
                "warmup-running",
                place,
                f"{item.named()} was sung in each of the last {item.weeks_running} weeks.",
                "Let it rest for a while. If it is to stay for the season, write "
                '"keep: opener" or "keep: closer" for it.',
            )
