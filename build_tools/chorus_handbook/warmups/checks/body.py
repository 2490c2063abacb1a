"""Body and breath first.

What it checks: that something for the body or the breath comes before the first item of impact 3 or
more. One item may do both; whatever needs no voice counts, and so does any goal of one of these two
families. A vocabulary that sorts no goals into families says nothing (our choice). Short and online
warm-ups may do without. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, RunningOrder

IMPACT = 3
_EXEMPT = ("short", "online")


def check_body(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-body`, at most one."""
    if order.occasion in _EXEMPT or not order.has_families:
        return
    for place, item in enumerate(order.items):
        if item.impact == 1 or {"body", "breath"} & item.families:
            return
        if item.impact >= IMPACT:
            yield Finding(
                "warmup-body",
                place,
                f'"{item.title}" (impact {item.impact}) comes before anything for the body or the '
                "breath.",
                "Begin with one item for either: a stretch, easy breathing, a hum that runs.",
            )
            return
