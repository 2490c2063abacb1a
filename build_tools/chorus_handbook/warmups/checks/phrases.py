"""Phrases that are long for older singers or for children.

What it checks: phrases of up to 7 seconds are usual in a seated warm-up, and of up to 4 in one for
children. A phrase of up to twice as long is sung in two breaths and draws no notice; a longer one
does. Lines that stay on one note, and exercises for sharing the breath, are exempt: in them all
breathe when they like (all our choice). Source: common practice.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from chorus_handbook.claims.wording import seconds
from chorus_handbook.entries.warm_up import Occasion
from chorus_handbook.warmups.running_order import SECOND, Finding, RunningOrder

#: The longest phrase that is usual, by the kind of warm-up.
LONGEST: Mapping[Occasion, int] = {"seated": 7 * SECOND, "children": 4 * SECOND}
#: In how many breaths a phrase may be sung.
BREATHS = 2


def check_phrases(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-phrase` for each such item."""
    longest = LONGEST.get(order.occasion) if order.occasion else None
    for place, item in enumerate(order.items):
        if longest is not None and item.phrase > BREATHS * longest and not item.breath_free:
            yield Finding(
                "warmup-phrase",
                place,
                f"{item.named()} has a phrase of {seconds(item.phrase / SECOND)}; "
                f"{seconds(longest / SECOND)} are enough here.",
                "Choose an item with shorter phrases; or let singers breathe within the phrase, "
                'and answer this notice under "answers".',
            )
