"""New items.

What it checks: that a warm-up has no more than one new item (one that the log has never seen sung),
that a new item does not take some weeks to learn (level 3), and that nothing is new on a concert
day. Source: common practice; repetition is how a chorus learns.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import listed
from chorus_handbook.warmups.running_order import Finding, RunningOrder


def check_new(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-new`, at most one for each item."""
    new = [(place, item) for place, item in enumerate(order.items) if item.status == "new"]
    for count, (place, item) in enumerate(new, 1):
        if order.occasion == "concert":
            why, cure = "is new on a concert day", "Replace it with an item that everyone knows"
        elif item.level == 3:
            why = "is new and has level 3 (it takes some weeks to learn)"
            cure = "Teach it in rehearsal first, over some weeks"
        elif count > 1:
            others = [other.named() for _, other in new[: count - 1]]
            why = f"is new, and so {'is' if count == 2 else 'are'} {listed(others)} before it"
            cure = "Keep this item for another week, or replace it with one that the chorus knows"
        else:
            continue
        yield Finding("warmup-new", place, f"{item.named()} {why}.", f"{cure}.")
