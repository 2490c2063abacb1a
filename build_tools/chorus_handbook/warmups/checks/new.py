"""New items.

What it checks: that no more than one item of a warm-up is new, that none that is new takes some
weeks to learn (level 3), and that nothing is new on a concert day. Source: common practice;
repetition is how a chorus learns.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, RunningOrder


def check_new(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-new`, at most one for each item."""
    new = [(place, item) for place, item in enumerate(order.items) if item.status == "new"]
    for count, (place, item) in enumerate(new, 1):
        if order.occasion == "concert":
            why, cure = "is new on a concert day", "Sing what everyone knows"
        elif item.level == 3:
            why, cure = "is new and has level 3", "Teach it in rehearsal, over some weeks, first"
        elif count > 1:
            why = f"is new, and so is {_more(count - 1)} before it"
            cure = "Keep one of them for next week, or put one in that the chorus knows"
        else:
            continue
        yield Finding("warmup-new", place, f'"{item.title}" {why}.', f"{cure}.")


def _more(count: int) -> str:
    return "one item" if count == 1 else f"each of {count} items"
