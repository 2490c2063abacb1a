"""Wide leaps too early.

What it checks: that an item of impact 3 (light singing; effort goes from 1 to 5) with a leap of
more than a fifth comes after at least 2 minutes of singing. Exempt are items that are hummed,
trilled or blown through a straw (`half_closed`), and rounds (our choice): their widest leap is the
one from the end back to the beginning, after a breath. Impacts 4 and 5 need as much singing before
them in any case (`strong`). Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import LIMITS, Finding, found, interval, time
from chorus_handbook.warmups.running_order import RunningOrder

#: The widest leap that needs no preparation: a fifth, in semitones.
FIFTH: int = LIMITS["leap"]["widest"]
#: The singing time that must come before a wider leap, in half-seconds.
NEEDED: int = LIMITS["leap"]["needed"]


def check_leaps(order: RunningOrder) -> Iterator[Finding]:
    """Yields a notice `warmup-leap` for each item with a wide leap that comes after too little
    singing."""
    for place, item in enumerate(order.items):
        before = order.singing_before(place)
        leaps = item.leap > FIFTH and not item.half_closed and not item.is_round
        if item.impact == 3 and leaps and before < NEEDED:
            yield found(
                order,
                "leap",
                place,
                interval=interval(item.leap),
                before=time(before),
                needed=time(NEEDED),
            )
