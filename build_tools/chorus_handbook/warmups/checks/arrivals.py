"""Sections that come late.

What it checks: that a voice that comes late (field `there`) does not go straight into full singing:
the first item that it sings has impact 3 or less. Source: common practice; a voice is warmed up
gradually, whenever it comes. The program cannot know whether those singers have warmed up elsewhere
before they come; if they have, the author can silence the notice with the field `answers`.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.findings import LIMITS, Finding, found, item, time, voices
from chorus_handbook.warmups.running_order import PlannedItem, RunningOrder

#: The highest impact of the first item that a voice sings after it has come.
HIGHEST_FIRST_IMPACT: int = LIMITS["first_impact"]


def check_arrivals(order: RunningOrder) -> Iterator[Finding]:
    """Yields a notice `warmup-arrival` for each item that is too strong for voices that have just
    come; it names all these voices."""
    slots = timetable(order.items)
    # By the place of an item: the late voices that sing this item first.
    first_of: dict[int, list[str]] = {}
    for voice, arrives in order.arrivals.items():
        for place, (one, slot) in enumerate(zip(order.items, slots, strict=True)):
            if slot.begins >= arrives and _sings(voice, one):
                first_of.setdefault(place, []).append(voice)
                break
    for place, names in sorted(first_of.items()):
        if order.items[place].impact > HIGHEST_FIRST_IMPACT:
            yield found(
                order,
                "arrival-one" if len(names) == 1 else "arrival-several",
                place,
                voices=voices(names),
                time=time(max(order.arrivals[voice] for voice in names)),
                item=item(place, "impact"),
                impact=HIGHEST_FIRST_IMPACT,
            )


def _sings(voice: str, item: PlannedItem) -> bool:
    """Whether a voice sings in an item. In an item without notes everyone does, unless its impact
    is 1, which needs no voice."""
    return any(voice in key for key in item.keys) if item.keys else item.impact > 1
