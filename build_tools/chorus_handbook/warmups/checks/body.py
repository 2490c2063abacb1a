"""Body and breath first.

What it checks: that an item for the body or the breath comes before the first item of impact 3 or
more. An item counts if it has impact 1, which needs no voice, or if one of its goals belongs to the
family "body" or "breath". There is no notice for short and online warm-ups, nor where the
vocabulary sorts no goals into families (our choice). Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, RunningOrder

#: The impact from which an item needs one for the body or the breath before it.
PREPARED_IMPACT = 3
#: Kinds of warm-ups without this notice.
_EXEMPT = ("short", "online")


def check_body(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-body`, at most one."""
    if order.occasion in _EXEMPT or not order.has_families:
        return
    for place, item in enumerate(order.items):
        if item.impact == 1 or {"body", "breath"} & item.families:
            return
        if item.impact >= PREPARED_IMPACT:
            yield Finding(
                "warmup-body",
                place,
                f"{item.named(f'impact {item.impact}')} comes before any item for the body or the "
                "breath.",
                "Put an item for the body or the breath before it, such as a stretch, easy "
                "breathing or a gentle hum.",
            )
            return
