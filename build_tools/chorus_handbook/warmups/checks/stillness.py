"""Children move and are still by turns.

What it checks: that in a warm-up for children no more than two items in a row are still. An item
counts as moving if it is for rhythm or for energy, if it is clapped or stepped, or if the formation
changes before it; so does one whose author plans a `variation` (our choice: it may be a movement).
Standing tall and letting go are for the body, but they are still. Many moving items in a row are no
fault. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.findings import LIMITS, Finding, found
from chorus_handbook.warmups.running_order import RunningOrder

#: How many items in a row may be still.
MOST_STILL: int = LIMITS["children"]["most_still"]


def check_stillness(order: RunningOrder) -> Iterator[Finding]:
    """Yields a notice `warmup-stillness` for each series of still items that is too long, at the
    first item that is too many."""
    if order.occasion != "children":
        return
    still = 0
    for place, (item, slot) in enumerate(zip(order.items, timetable(order.items), strict=True)):
        still = 0 if item.active or slot.moves or item.comment else still + 1
        if still == MOST_STILL + 1:
            yield found(order, "stillness", place)
