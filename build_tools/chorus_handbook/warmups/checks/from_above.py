"""Children sing from above.

What it checks: that in a warm-up for children at least one of the items with a tune begins from
above, on its highest note: the light voice is carried down, not the heavy one up. A warm-up without
a tune has no such notice. No item takes children below what is comfortable for their voice with an
open mouth, because they would press there. Source: common practice; that one item is enough, and
that the comfortable range is the limit, is our choice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import listed
from chorus_handbook.pitch import named
from chorus_handbook.warmups.running_order import Finding, PlannedItem, RunningOrder


def check_from_above(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-from-above`: at most one for the tunes together, at the first of them, and one
    for each item that is too low."""
    if order.occasion != "children":
        return
    tunes = [place for place, item in enumerate(order.items) if item.span]
    if tunes and not any(order.items[place].from_above for place in tunes):
        yield Finding(
            "warmup-from-above",
            tunes[0],
            f"None of the {len(tunes)} items with a tune begins from above; the first is "
            f"{order.items[tunes[0]].named()}.",
            "Begin with an item that falls from its highest note, softly, such as a call on two "
            "falling notes.",
        )
    for place, item in enumerate(order.items):
        if lowest := _too_low(order, item):
            who = listed(
                f"{order.voices[voice].label} to {named(note)}" for voice, note in lowest.items()
            )
            yield Finding(
                "warmup-from-above",
                place,
                f"{item.named()} takes {who}: below the comfortable range, where children press.",
                'Leave out its lowest keys, under "keys".',
            )


def _too_low(order: RunningOrder, item: PlannedItem) -> dict[str, int]:
    """The lowest note of each voice that is taken below its comfortable range, as a MIDI number."""
    found: dict[str, int] = {}
    for key in item.keys:
        for voice, reach in key.items():
            low = reach.open_lowest
            if low is not None and low < order.voices[voice].low:
                found[voice] = min(low, found.get(voice, low))
    return found
