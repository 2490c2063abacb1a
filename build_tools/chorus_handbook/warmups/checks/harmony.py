"""Harmony before unison.

What it checks: that three or more different sung lines at impact 3 or more come after something
that all sing in unison, in whatever manner. A line that does not move is none: drones and chords
that stand are exempt, and so is what is spoken or clapped. Source: common practice; a chorus agrees
on one line before it holds several.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.running_order import Finding, RunningOrder

LINES, IMPACT = 3, 3


def check_harmony(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-harmony` at the first such item."""
    for place, item in enumerate(order.items):
        if item.unison:
            return
        if item.lines >= LINES and item.impact >= IMPACT:
            yield Finding(
                "warmup-harmony",
                place,
                f'"{item.title}" has {item.lines} different lines, and nothing before it is sung '
                "in unison.",
                "Put something in unison before it: a hum, a scale.",
            )
            return
