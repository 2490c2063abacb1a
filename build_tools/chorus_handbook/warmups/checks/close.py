"""The last item.

What it checks: that the last item is not strong singing (impact 5), and that it is full singing
(impact 4) only if it brings the chorus together (`PlannedItem.unites`) or the first chord of a
piece follows it. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import Finding, found
from chorus_handbook.warmups.running_order import RunningOrder


def check_close(order: RunningOrder) -> Iterator[Finding]:
    """Yields at most one notice `warmup-close`, if the last item is too strong to end with."""
    place = len(order.items) - 1
    last = order.items[place]
    title = {"title": place}  # the message names the item by its title
    if last.impact == 5:
        yield found(order, "close-strong", place, title=title)
    elif last.impact == 4 and not last.unites and not order.chord_follows:
        yield found(order, "close-full", place, title=title)
