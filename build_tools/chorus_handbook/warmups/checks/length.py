"""A warm-up that is long for its occasion.

What it checks: that neither the time planned nor the time allowed exceeds what is usual: 20 minutes
for weekly, seated and online warm-ups, 6 for a short one, 8 outdoors, 30 before a concert (both
blocks) and 10 for children. The smaller of the two times counts, and only half as long again is a
notice (our choice): who plans a little more than is usual has a reason. Shorter is never wrong.
Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from chorus_handbook.claims.wording import seconds
from chorus_handbook.entries.warm_up import Occasion
from chorus_handbook.warmups.clock import total
from chorus_handbook.warmups.running_order import MINUTE, SECOND, Finding, RunningOrder

#: The longest time that is usual, by the kind of warm-up.
LONGEST: Mapping[Occasion, int] = {
    "weekly": 20 * MINUTE,
    "short": 6 * MINUTE,
    "concert": 30 * MINUTE,
    "outdoor": 8 * MINUTE,
    "seated": 20 * MINUTE,
    "children": 10 * MINUTE,
    "online": 20 * MINUTE,
}


def check_length(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-length`, at most one."""
    if order.occasion is None or order.allowed is None:
        return
    time, longest = min(total(order.items), order.allowed), LONGEST[order.occasion]
    if 2 * time > 3 * longest:
        yield Finding(
            "warmup-length",
            None,
            f"This warm-up takes {seconds(time / SECOND)}, which is long for its kind "
            f"({order.occasion}): {seconds(longest / SECOND)} are usual at most.",
            'Leave out an item, or correct "kind".',
            "minutes",
        )
