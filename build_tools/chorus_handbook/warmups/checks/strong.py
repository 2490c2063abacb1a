"""Strong singing too early or for too long.

What it checks: that an item of full singing (impact 4) comes after at least 2 minutes of singing;
that an item of strong singing (impact 5) comes after at least 4 minutes of singing and begins at
least 8 minutes after the start of the warm-up; and that strong singing sounds for no longer than a
minute. Source: common practice; a voice is warmed up gradually.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import seconds
from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.running_order import HALF_SECONDS, MINUTE, Finding, RunningOrder

#: The singing time that must come before an item, by its impact; in half-seconds.
NEEDS = {4: 2 * MINUTE, 5: 4 * MINUTE}
#: The earliest beginning of an item of impact 5, and the longest time that it may sound; in
#: half-seconds.
CLOCK, LONGEST = 8 * MINUTE, 60 * HALF_SECONDS


def check_strong(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-strong`, at most one for each item."""
    clock = timetable(order.items)
    for place, item in enumerate(order.items):
        if item.impact not in NEEDS:
            continue
        before, needed = order.singing_before(place), NEEDS[item.impact]
        named = f'"{item.title}" (impact {item.impact})'
        if before < needed:
            yield Finding(
                "warmup-strong",
                place,
                f"{named} comes after only {seconds(before / HALF_SECONDS)} of singing; it needs "
                f"{seconds(needed / HALF_SECONDS)} of singing before it.",
                "Move it to a later place, or put gentler items before it.",
            )
        elif item.impact == 5 and clock[place].begins < CLOCK:
            yield Finding(
                "warmup-strong",
                place,
                f"{named} begins only {seconds(clock[place].begins / HALF_SECONDS)} after the "
                f"start of the warm-up; it needs {seconds(CLOCK / HALF_SECONDS)} before it.",
                "Move it to a later place.",
            )
        elif item.impact == 5 and item.sound > LONGEST:
            yield Finding(
                "warmup-strong",
                place,
                f"{named} sounds for {seconds(item.sound / HALF_SECONDS)}; strong singing should "
                f"last no longer than {seconds(LONGEST / HALF_SECONDS)}.",
                'Plan fewer of its keys, under "keys".',
            )
