"""A warm-up that is long for its occasion.

What it checks: that neither the time planned nor the time allowed exceeds what is usual: 20 minutes
for weekly, seated and online warm-ups, 6 for a short one, 8 outdoors, 30 before a concert (both
blocks) and 10 for children. The smaller of the two times counts, and there is a notice only if it
is more than one and a half times as long as usual (our choice): authors who plan a little more have
a reason. Shorter is never wrong.
Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from chorus_handbook.entries.warm_up import Occasion
from chorus_handbook.warmups.clock import total
from chorus_handbook.warmups.findings import LIMITS, Finding, found, time
from chorus_handbook.warmups.running_order import RunningOrder

#: The longest time that is usual, in half-seconds, by the kind of warm-up.
LONGEST: Mapping[Occasion, int] = LIMITS["longest"]


def check_length(order: RunningOrder) -> Iterator[Finding]:
    """Yields at most one notice `warmup-length`, if the warm-up is much longer than is usual for
    its occasion."""
    if order.occasion is None or order.allowed is None:
        return
    takes, longest = min(total(order.items), order.allowed), LONGEST[order.occasion]
    if 2 * takes > 3 * longest:  # more than one and a half times as long
        yield found(
            order,
            "length",
            None,
            time=time(takes),
            kind={"kind": order.occasion},
            longest=time(longest),
        )
