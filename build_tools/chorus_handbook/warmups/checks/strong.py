"""Strong singing too early or for too long.

What it checks: that full singing (impact 4) comes after at least 2 minutes of singing; that strong
singing (impact 5) comes after at least 4 minutes of singing or, with 2 of them, 8 minutes after the
start of the warm-up; and that strong singing sounds for no longer than a minute. Source: common
practice; a voice is warmed up gradually. Our choice: one of the two measures of strong singing is
enough; of several items of full singing that come too early only the first is named; and a short
warm-up, which has no two minutes to give, needs half a minute before full singing.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import seconds
from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.running_order import (
    HALF_SECONDS,
    MINUTE,
    Finding,
    PlannedItem,
    RunningOrder,
)

#: The singing time that must come before full singing, in any warm-up and in a short one; in
#: half-seconds.
NEEDED, NEEDED_IN_SHORT = 2 * MINUTE, 30 * HALF_SECONDS
#: The singing time that must come before strong singing, and from when on the clock less is enough;
#: for how long it may sound. All in half-seconds.
NEEDED_IF_STRONG, CLOCK, LONGEST = 4 * MINUTE, 8 * MINUTE, 60 * HALF_SECONDS


def check_strong(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-strong`, at most one for each item."""
    least = NEEDED_IN_SHORT if order.occasion == "short" else NEEDED
    named = False
    for place, (item, slot) in enumerate(zip(order.items, timetable(order.items), strict=True)):
        before = order.singing_before(place)
        late = item.impact == 5 and slot.begins >= CLOCK
        needed = least if item.impact == 4 or late else NEEDED_IF_STRONG
        if item.impact >= 4 and before < needed:
            if item.impact == 5 or not named:
                yield _early(place, item, before, needed)
            named = named or item.impact == 4
        elif item.impact == 5 and item.sound > LONGEST:
            yield Finding(
                "warmup-strong",
                place,
                f'"{item.title}" (impact 5) sounds for {seconds(item.sound / HALF_SECONDS)}; '
                f"strong singing should last no longer than {seconds(LONGEST / HALF_SECONDS)}.",
                'Plan fewer of its keys, under "keys".',
            )


def _early(place: int, item: PlannedItem, before: int, needed: int) -> Finding:
    return Finding(
        "warmup-strong",
        place,
        f'"{item.title}" (impact {item.impact}) comes after only {seconds(before / HALF_SECONDS)} '
        f"of singing; it needs {seconds(needed / HALF_SECONDS)} of singing before it.",
        "Move it to a later place, or put gentler items before it.",
    )
