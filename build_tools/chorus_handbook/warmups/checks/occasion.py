"""What an occasion asks for.

What it checks, by the `kind` of a warm-up: before a concert nothing stronger than impact 4, and no
more than 6 minutes of singing; outdoors nothing that is both wide and loud; seated, or with older
singers, no phrase over 7 seconds; with children no item over 75 seconds and no phrase over 4;
online no rounds and no tuning, since nobody hears anybody in time. Source: common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from chorus_handbook.claims.wording import interval_of, seconds
from chorus_handbook.entries.warm_up import Occasion
from chorus_handbook.warmups.running_order import (
    HALF_SECONDS,
    MINUTE,
    Finding,
    PlannedItem,
    RunningOrder,
)

#: Wider than a sixth, at full singing or more: wide and loud.
SIXTH, LOUD = 9, 4
CONCERT_IMPACT, CONCERT_SINGING = 4, 6 * MINUTE
SEATED_PHRASE, CHILDREN_PHRASE = 7 * HALF_SECONDS, 4 * HALF_SECONDS
CHILDREN_ITEM = 75 * HALF_SECONDS


def check_occasion(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-occasion`, at most one for each item."""
    for place, item in enumerate(order.items):
        rule = _RULES.get(order.occasion) if order.occasion else None
        if rule and (found := rule(item)):
            what, cure = found
            yield Finding("warmup-occasion", place, f'"{item.title}" {what}.', f"{cure}.")
    singing = order.singing_before(len(order.items))
    if order.occasion == "concert" and singing > CONCERT_SINGING:
        yield Finding(
            "warmup-occasion",
            None,
            f"Before a concert there are {seconds(singing / HALF_SECONDS)} of singing here; "
            f"{seconds(CONCERT_SINGING / HALF_SECONDS)} are enough.",
            "Plan fewer keys, or leave out an item.",
            "kind",
        )


def _concert(item: PlannedItem) -> tuple[str, str] | None:
    if item.impact > CONCERT_IMPACT:
        return f"has impact {item.impact} before a concert", "Save the voices: 4 at most"
    return None


def _outdoor(item: PlannedItem) -> tuple[str, str] | None:
    if item.impact >= LOUD and item.span > SIXTH:
        return (
            f"is wide and loud for outdoors: {interval_of(item.span)} at impact {item.impact}",
            "Sing it indoors, or something within a sixth",
        )
    return None


def _seated(item: PlannedItem) -> tuple[str, str] | None:
    return _phrase(item, SEATED_PHRASE)


def _children(item: PlannedItem) -> tuple[str, str] | None:
    if item.length > CHILDREN_ITEM:
        return (
            f"takes {seconds(item.length / HALF_SECONDS)}, which is long for children",
            f"Write minutes: {CHILDREN_ITEM / MINUTE:g} or less, and fewer keys",
        )
    return _phrase(item, CHILDREN_PHRASE)


def _phrase(item: PlannedItem, longest: int) -> tuple[str, str] | None:
    if item.phrase > longest:
        return (
            f"has a phrase of {seconds(item.phrase / HALF_SECONDS)}; "
            f"{seconds(longest / HALF_SECONDS)} are enough here",
            "Choose one with shorter phrases, or breathe within them and answer this notice",
        )
    return None


def _online(item: PlannedItem) -> tuple[str, str] | None:
    if item.is_round or item.tunes:
        return (
            f"is {'a round' if item.is_round else 'for tuning'}, which nobody can hear online",
            "Choose something that each sings alone",
        )
    return None


_RULES: dict[Occasion, Callable[[PlannedItem], tuple[str, str] | None]] = {
    "concert": _concert,
    "outdoor": _outdoor,
    "seated": _seated,
    "children": _children,
    "online": _online,
}
