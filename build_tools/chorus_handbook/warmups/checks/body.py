"""Body and breath first.

What it checks: that an item for the body or the breath comes before the first item of impact 3 or
more. An item counts if it has impact 1, which needs no voice, or if one of its goals belongs to the
family "body" or "breath". There is no notice for short and online warm-ups, nor if
vocabulary.yml sorts no goals into families (our choice). Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import LIMITS, Finding, found, item
from chorus_handbook.warmups.running_order import PlannedItem, RunningOrder

#: From this impact on, an item must come after one for the body or the breath.
PREPARED_IMPACT: int = LIMITS["prepared_impact"]
#: Kinds of warm-ups without this notice.
_EXEMPT = ("short", "online")


def wakes(item: PlannedItem) -> bool:
    """Whether an item is for the body or the breath."""
    return item.impact == 1 or bool({"body", "breath"} & item.families)


def check_body(order: RunningOrder) -> Iterator[Finding]:
    """Yields at most one notice `warmup-body`, at the first item of impact 3 or more, if nothing
    for the body or the breath comes before it."""
    if order.occasion in _EXEMPT or not order.has_families:
        return
    for place, one in enumerate(order.items):
        if wakes(one):
            return
        if one.impact >= PREPARED_IMPACT:
            yield found(order, "body", place, item=item(place, "impact"))
            return
