"""Sections that come late.

What it checks: that a voice that comes late (field `there`) does not go straight into full singing:
the first item that it sings has impact 3 or less. Source: common practice; a voice is warmed up
gradually, whenever it comes. The program cannot know whether those singers have warmed up elsewhere
before they come; if they have, the author can silence the notice with the field `answers`.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import listed, seconds, verb
from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.running_order import SECOND, Finding, PlannedItem, RunningOrder

#: The highest impact of the first item that a voice sings after it has come.
HIGHEST_FIRST_IMPACT = 3


def check_arrivals(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-arrival`, at most one for each item."""
    slots = timetable(order.items)
    # By the place of an item: the late voices that sing this item first.
    first_of: dict[int, list[str]] = {}
    for voice, arrives in order.arrivals.items():
        for place, (item, slot) in enumerate(zip(order.items, slots, strict=True)):
            if slot.begins >= arrives and _sings(voice, item):
                first_of.setdefault(place, []).append(voice)
                break
    for place, voices in sorted(first_of.items()):
        item = order.items[place]
        if item.impact > HIGHEST_FIRST_IMPACT:
            late = max(order.arrivals[voice] for voice in voices)
            who = listed(order.voices[voice].label for voice in voices)
            yield Finding(
                "warmup-arrival",
                place,
                f"{who} {verb(voices, 'comes', 'come')} {seconds(late / SECOND)} after the "
                f"start, and the next item to sing is {item.named(f'impact {item.impact}')}.",
                f"Put an item of impact {HIGHEST_FIRST_IMPACT} or less before it, or let those who "
                "come late hum along at first.",
            )


def _sings(voice: str, item: PlannedItem) -> bool:
    """Whether a voice sings in an item. In an item without notes everyone does, unless its impact
    is 1, which needs no voice."""
    return any(voice in key for key in item.keys) if item.keys else item.impact > 1
