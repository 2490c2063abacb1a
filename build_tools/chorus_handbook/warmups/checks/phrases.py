"""Phrases that are long for older singers or for children.

What it checks: phrases of up to 7 seconds are usual in a seated warm-up, and of up to 4 in one for
children. A phrase of up to twice as long is sung in two breaths and draws no notice; a longer one
does. Lines that stay on one note, and exercises for sharing the breath, are exempt: in them all
breathe when they like (all our choice). Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import LIMITS, Finding, found, time
from chorus_handbook.warmups.running_order import RunningOrder

#: The longest phrase that is usual in a seated warm-up and in one for children, in half-seconds.
SEATED: int = LIMITS["phrase"]["seated"]
CHILDREN: int = LIMITS["phrase"]["children"]
#: In how many breaths a phrase may be sung.
BREATHS: int = LIMITS["phrase"]["breaths"]


def check_phrases(order: RunningOrder) -> Iterator[Finding]:
    """Yields a notice `warmup-phrase` for each item with a phrase that is too long."""
    if order.occasion not in ("seated", "children"):
        return
    longest = SEATED if order.occasion == "seated" else CHILDREN
    for place, item in enumerate(order.items):
        if item.phrase > BREATHS * longest and not item.breath_free:
            yield found(order, "phrase", place, time=time(item.phrase), longest=time(longest))
