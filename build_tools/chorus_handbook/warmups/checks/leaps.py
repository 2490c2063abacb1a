"""Wide leaps, early.

What it checks: that leaps of more than a fifth at impact 3 or more come after 2 minutes in which a
voice has sung. Hums, trills, straws and glides are exempt. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import interval_of, seconds
from chorus_handbook.warmups.running_order import HALF_SECONDS, MINUTE, Finding, RunningOrder

FIFTH = 7  # semitones
NEEDED = 2 * MINUTE


def check_leaps(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-leap`; none for impact 4 and more, which `strong` holds to the same time."""
    for place, item in enumerate(order.items):
        before = order.singing_before(place)
        if item.impact == 3 and item.leap > FIFTH and not item.half_closed and before < NEEDED:
            yield Finding(
                "warmup-leap",
                place,
                f'"{item.title}" leaps by {interval_of(item.leap)} after '
                f"{seconds(before / HALF_SECONDS)} of singing; more than a fifth needs "
                f"{seconds(NEEDED / HALF_SECONDS)} before it.",
                "Move it further back, or sing something by step first.",
            )
