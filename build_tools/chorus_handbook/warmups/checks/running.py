"""The same item week after week.

What it checks: that no item was sung in each of the eight weeks before the warm-up, unless the item
is the season's opener or closer (field `keep`). Source: common practice; what is sung too many
weeks in a row is sung without listening.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import LIMITS, Finding, found
from chorus_handbook.warmups.running_order import RunningOrder

#: An exercise sung in this many weeks in a row gets a notice, unless it is the opener or closer.
TOO_MANY_WEEKS: int = LIMITS["too_many_weeks"]


def check_running(order: RunningOrder) -> Iterator[Finding]:
    """Yields a notice `warmup-running` for each item that was sung too many weeks in a row."""
    for place, item in enumerate(order.items):
        if item.weeks_running >= TOO_MANY_WEEKS and item.keep is None:
            yield found(order, "running", place, n=item.weeks_running)
