"""Strong singing too early or for too long.

What it checks: that full singing (impact 4) comes after at least 2 minutes of singing; that strong
singing (impact 5) comes after at least 4 minutes of singing, or after 2 minutes of singing if it
begins 8 minutes or more after the start of the warm-up; and that strong singing sounds for no
longer than a minute. Source: common practice; a voice is warmed up gradually. Our choice: either of
the two conditions of strong singing is enough; of several items of full singing that come too early
only the first is named; and a short warm-up, in which two minutes would be too much, needs half a
minute before full singing.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.findings import LIMITS, Finding, found, item, time
from chorus_handbook.warmups.running_order import RunningOrder

#: The singing time that must come before full singing: in any warm-up, and in a short one.
NEEDED: int = LIMITS["strong"]["needed"]
NEEDED_IN_SHORT: int = LIMITS["strong"]["needed_in_short"]
#: The singing time that must come before strong singing.
NEEDED_IF_STRONG: int = LIMITS["strong"]["needed_if_strong"]
#: From this long after the start of the warm-up, `NEEDED` is enough before strong singing too.
LATE: int = LIMITS["strong"]["late"]
#: The longest time that strong singing may sound.
LONGEST: int = LIMITS["strong"]["longest"]


def check_strong(order: RunningOrder) -> Iterator[Finding]:
    """Yields notices `warmup-strong`, at most one for each item: that it comes too early, or else
    that it lasts too long."""
    least = NEEDED_IN_SHORT if order.occasion == "short" else NEEDED
    full_named = False  # whether an item of full singing has been named
    for place, (one, slot) in enumerate(zip(order.items, timetable(order.items), strict=True)):
        before = order.singing_before(place)
        late = one.impact == 5 and slot.begins >= LATE
        needed = least if one.impact == 4 or late else NEEDED_IF_STRONG
        shown = item(place, "impact")
        if one.impact >= 4 and before < needed:
            if one.impact == 5 or not full_named:
                times = {"before": time(before), "needed": time(needed)}
                yield found(order, "strong-early", place, item=shown, **times)
            full_named = full_named or one.impact == 4
        elif one.impact == 5 and one.sound > LONGEST:
            times = {"time": time(one.sound), "longest": time(LONGEST)}
            yield found(order, "strong-long", place, item=shown, **times)
