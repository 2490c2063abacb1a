"""What an occasion asks for.

What it checks, by the field `kind` of a warm-up:

- concert: no item above impact 4, and no more than 6 minutes of singing in all
- outdoor: no item that is both wider than a sixth and loud (impact 4 or more)
- seated, also for older singers: no phrase longer than 7 seconds
- children: no item longer than 75 seconds, and no phrase longer than 4 seconds
- online: no rounds and no tuning, because the delay keeps singers from hearing each other in time

Source: common practice.
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

#: The widest that a loud item may be outdoors, in semitones, and the impact from which it is loud.
SIXTH, LOUD = 9, 4
#: The highest impact before a concert, and the longest singing, in half-seconds.
CONCERT_IMPACT, CONCERT_SINGING = 4, 6 * MINUTE
#: The longest phrases and the longest item, in half-seconds.
SEATED_PHRASE, CHILDREN_PHRASE = 7 * HALF_SECONDS, 4 * HALF_SECONDS
CHILDREN_ITEM = 75 * HALF_SECONDS


def check_occasion(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-occasion`: at most one for each item, and one for a concert's whole
    warm-up."""
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
            f"This warm-up before a concert has {seconds(singing / HALF_SECONDS)} of singing; "
            f"{seconds(CONCERT_SINGING / HALF_SECONDS)} are enough.",
            "Plan fewer keys, or leave out an item.",
            "kind",
        )


def _concert(item: PlannedItem) -> tuple[str, str] | None:
    if item.impact > CONCERT_IMPACT:
        return (
            f"has impact {item.impact}, which is too strong before a concert",
            f"Replace it with an item of impact {CONCERT_IMPACT} or less, to save the voices",
        )
    return None


def _outdoor(item: PlannedItem) -> tuple[str, str] | None:
    if item.impact >= LOUD and item.span > SIXTH:
        return (
            f"is too wide and loud for outdoors: it spans {interval_of(item.span)} at impact "
            f"{item.impact}",
            f"Replace it with an item within {interval_of(SIXTH)}, or sing it indoors",
        )
    return None


def _seated(item: PlannedItem) -> tuple[str, str] | None:
    return _phrase(item, SEATED_PHRASE)


def _children(item: PlannedItem) -> tuple[str, str] | None:
    if item.length > CHILDREN_ITEM:
        return (
            f"takes {seconds(item.length / HALF_SECONDS)}, which is long for children",
            f'Write "minutes: {CHILDREN_ITEM / MINUTE:g}" or less, and plan fewer keys',
        )
    return _phrase(item, CHILDREN_PHRASE)


def _phrase(item: PlannedItem, longest: int) -> tuple[str, str] | None:
    if item.phrase > longest:
        return (
            f"has a phrase of {seconds(item.phrase / HALF_SECONDS)}; "
            f"{seconds(longest / HALF_SECONDS)} are enough here",
            "Choose an item with shorter phrases; or let singers breathe within the phrase, and "
            'answer this notice under "answers"',
        )
    return None


def _online(item: PlannedItem) -> tuple[str, str] | None:
    if item.is_round or item.tunes:
        return (
            f"is {'a round' if item.is_round else 'for tuning'}, and online the singers do not "
            "hear each other in time",
            "Choose an item that each singer can sing alone",
        )
    return None


_RULES: dict[Occasion, Callable[[PlannedItem], tuple[str, str] | None]] = {
    "concert": _concert,
    "outdoor": _outdoor,
    "seated": _seated,
    "children": _children,
    "online": _online,
}
