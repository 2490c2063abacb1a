"""Harmony before unison.

What it checks: that an item with three or more different moving lines and impact 3 or more comes
after an item that everyone sings in unison (humming counts). Lines that stay on one note are not
counted, so drones and sustained chords are exempt; so is everything spoken or clapped. Source:
common practice; a chorus agrees on one line before it sings several.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import LIMITS, Finding, found
from chorus_handbook.warmups.running_order import RunningOrder

#: An item in harmony has at least this many lines and this impact.
LINES: int = LIMITS["harmony"]["lines"]
IMPACT: int = LIMITS["harmony"]["impact"]


def check_harmony(order: RunningOrder) -> Iterator[Finding]:
    """Yields at most one notice `warmup-harmony`, at the first item in harmony, if no item in
    unison comes before it."""
    for place, item in enumerate(order.items):
        if item.unison:
            return
        if item.lines >= LINES and item.impact >= IMPACT:
            yield found(order, "harmony", place, n=item.lines)
            return
