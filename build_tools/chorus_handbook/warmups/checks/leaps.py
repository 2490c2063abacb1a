"""Wide leaps too early.

What it checks: that an item of impact 3 with a leap of more than a fifth comes after at least 2
minutes of singing. Items that are hummed, trilled, glided or blown through a straw are exempt, and
so are rounds (our choice): their widest leap is the one from the end back to the beginning, after a
breath. Impacts 4 and 5 need as much singing before them in any case (`strong`). Source: common
practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import interval_of, seconds
from chorus_handbook.warmups.running_order import MINUTE, SECOND, Finding, RunningOrder

FIFTH = 7  # semitones
#: The singing time that must come before such a leap.
NEEDED = 2 * MINUTE


def check_leaps(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-leap` for each such item."""
    for place, item in enumerate(order.items):
        before = order.singing_before(place)
        leaps = item.leap > FIFTH and not item.half_closed and not item.is_round
        if item.impact == 3 and leaps and before < NEEDED:
            yield Finding(
                "warmup-leap",
                place,
                f"{item.named()} leaps by {interval_of(item.leap)} after only "
                f"{seconds(before / SECOND)} of singing; a leap of more than a fifth needs "
                f"{seconds(NEEDED / SECOND)} of singing before it.",
                "Move it to a later place, or put an item that moves by step before it.",
            )
