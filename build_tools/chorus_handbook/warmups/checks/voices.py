"""Voices that are there.

What it checks: that in every key that is planned somebody who is there can sing. A voice that steps
out while others go on is no mistake. Source: the ranges are the chorus's own.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, RunningOrder


def check_voices(order: RunningOrder) -> Iterator[Finding]:
    """Error `warmup-voices` for each item with such a key."""
    for place, item in enumerate(order.items):
        if item.nobody_in:
            yield Finding(
                "warmup-voices",
                place,
                f'Nobody who is there can sing "{item.title}" in {item.nobody_in}.',
                "Plan other keys, or correct who is there: present and there.",
            )
