"""Children sing from above.

What it checks: that in a warm-up for children at least one of the items with a tune begins from
above, on its highest note: the light voice is carried down, not the heavy one up. A warm-up without
a tune has no such notice. Source: common practice; that one item is enough is our choice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, RunningOrder


def check_from_above(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-from-above`, at most one, at the first item with a tune."""
    tunes = [place for place, item in enumerate(order.items) if item.span]
    if order.occasion != "children" or any(order.items[place].from_above for place in tunes):
        return
    for place in tunes[:1]:
        yield Finding(
            "warmup-from-above",
            place,
            f"None of the {len(tunes)} items with a tune begins from above; the first is "
            f'"{order.items[place].title}".',
            "Begin with an item that falls from its highest note, softly, such as a call on two "
            "falling notes.",
        )
