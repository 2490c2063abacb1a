"""Strong singing, early or for long.

What it checks: that full singing (impact 4) comes after 2 minutes in which a voice has sung, strong
singing (impact 5) after 4 minutes of it and 8 on the clock, and that strong singing sounds no
longer than a minute. Source: common practice; a voice is warmed up gradually.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import seconds
from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.running_order import HALF_SECONDS, MINUTE, Finding, RunningOrder

#: The singing time that an impact needs before it.
NEEDS = {4: 2 * MINUTE, 5: 4 * MINUTE}
#: Where on the clock impact 5 may begin, and for how long it may sound.
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
                f"{named} comes after {seconds(before / HALF_SECONDS)} of singing; it needs "
                f"{seconds(needed / HALF_SECONDS)} before it.",
                "Move it further back, or sing something gentler first.",
            )
        elif item.impact == 5 and clock[place].begins < CLOCK:
            yield Finding(
                "warmup-strong",
                place,
                f"{named} begins {seconds(clock[place].begins / HALF_SECONDS)} after the start; "
                f"it needs {seconds(CLOCK / HALF_SECONDS)}.",
                "Move it further back.",
            )
        elif item.impact == 5 and item.sound > LONGEST:
            yield Finding(
                "warmup-strong",
                place,
                f"{named} sounds for {seconds(item.sound / HALF_SECONDS)}; strong singing is over "
                f"in {seconds(LONGEST / HALF_SECONDS)}.",
                "Plan fewer of its keys.",
            )
