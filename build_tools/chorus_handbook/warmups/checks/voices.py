"""Keys that nobody present can sing.

What it checks: that in every planned key at least one of the voices present can sing. It is no
mistake if one voice steps out while others go on. Source: the ranges in the chorus's own
chorus.yml.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import Finding, found
from chorus_handbook.warmups.running_order import RunningOrder


def check_voices(order: RunningOrder) -> Iterator[Finding]:
    """Yields an error `warmup-voices` for each item with a key that nobody present can sing; it
    names the first such key."""
    for place, item in enumerate(order.items):
        if item.unsung_key:
            yield found(order, "voices", place, key={"key": item.unsung_key})
