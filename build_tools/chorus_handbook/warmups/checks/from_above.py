"""Children sing from above.

What it checks: that in a warm-up for children at least one of the items with a tune begins from
above, on its highest note: the light voice is carried down, not the heavy one up. It also checks
that no item takes a voice below its comfortable range with an open mouth, because children would
press there. Source: common practice; that one item is enough, and that the comfortable range is the
limit, is our choice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import Finding, found, notes
from chorus_handbook.warmups.running_order import PlannedItem, RunningOrder


def check_from_above(order: RunningOrder) -> Iterator[Finding]:
    """Yields notices `warmup-from-above`: one, at the first item with a tune, if none of these
    items begins from above, and one for each item that is too low."""
    if order.occasion != "children":
        return
    # an item has a tune if its highest note is higher than its lowest
    tunes = [place for place, item in enumerate(order.items) if item.span]
    if tunes and not any(order.items[place].from_above for place in tunes):
        yield found(order, "from-above-none", tunes[0])
    for place, item in enumerate(order.items):
        if lowest := _too_low(order, item):
            yield found(order, "from-above-low", place, notes=notes(lowest))


def _too_low(order: RunningOrder, item: PlannedItem) -> dict[str, int]:
    """The lowest note of each voice that is taken below its comfortable range, as a MIDI number."""
    lowest: dict[str, int] = {}
    for key in item.keys:
        for voice, reach in key.items():
            low = reach.open_lowest
            if low is not None and low < order.voices[voice].low:
                lowest[voice] = min(low, lowest.get(voice, low))
    return lowest
