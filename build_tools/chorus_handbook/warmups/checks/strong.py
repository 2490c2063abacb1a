"""Strong singing too early or for too long.

What it checks: that full singing (impact 4) comes after at least 2 minutes of singing; that strong
singing (impact 5) comes after at least 4 minutes of singing, or after 2 minutes of singing if it
begins 8 minutes or more after the start of the warm-up; and that strong singing sounds for no
longer than a minute. Source: common practice; a voice is warmed up gradually. Our choice: either of
the two conditions of strong singing is enough; of several items of full singing that come too early
only the first is named; and a short warm-up, which has no two minutes to give, needs half a minute
before full singing.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import seconds
from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.running_order import (
    MINUTE,
    SECOND,
    Finding,
    PlannedItem,
    RunningOrder,
)

#: The singing time that must come before full singing: in any warm-up, and in a short one.
NEEDED, NEEDED_IN_SHORT = 2 * MINUTE, 30 * SECOND
#: The singing time that must come before strong singing.
NEEDED_IF_STRONG = 4 * MINUTE
#: From this long after the start of the warm-up, `NEEDED` is enough before strong singing too.
LATE = 8 * MINUTE
#: The longest time that strong singing may sound.
LONGEST = 60 * SECOND


def check_strong(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-strong`, at most one for each item."""
    least = NEEDED_IN_SHORT if order.occasion == "short" else NEEDED
    named = False
    for place, (item, slot) in enumerate(zip(order.items, timetable(order.items), strict=True)):
        before = order.singing_before(place)
        late = item.impact == 5 and slot.begins >= LATE
        needed = least if item.impact == 4 or late else NEEDED_IF_STRONG
        if item.impact >= 4 and before < needed:
            if item.impact == 5 or not named:
                yield _early(place, item, before, needed)
            named = named or item.impact == 4
        elif item.impact == 5 and item.sound > LONGEST:
            yield Finding(
                "warmup-strong",
                place,
                f"{item.named('impact 5')} sounds for {seconds(item.sound / SECOND)}; "
                f"strong singing should last no longer than {seconds(LONGEST / SECOND)}.",
                'Plan fewer of its keys, under "keys".',
            )


def _early(place: int, item: PlannedItem, before: int, needed: int) -> Finding:
    return Finding(
        "warmup-strong",
        place,
        f"{item.named(f'impact {item.impact}')} comes after only {seconds(before / SECOND)} "
        f"of singing; it needs {seconds(needed / SECOND)} of singing before it.",
        "Move it to a later place, or put gentler items before it.",
    )
