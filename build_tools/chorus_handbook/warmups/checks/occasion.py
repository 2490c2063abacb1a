"""What an occasion forbids.

What it checks, by the field `kind` of a warm-up:

- concert: no item above impact 4, and at most 6 minutes of singing; if a later block is planned
  right before the concert, at most 3 minutes of singing in that block
- outdoor: no item that is both wider than a sixth and loud (impact 4 or more)
- children: no item that takes over a minute longer than 75 seconds (our choice, as for a warm-up
  that runs over), unless its author plans a `variation` or a `note`, which may change it on the way
- online: no round, nothing in three or more lines, and nothing that is mainly for tuning, blend or
  harmony: the sound arrives too late to sing together, so all but one singer are muted, and each
  sings alone at home. An item in two lines, such as a scale that low voices join halfway, can be
  sung that way and is allowed (our choice)

Source: common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from chorus_handbook.entries.warm_up import Occasion
from chorus_handbook.warmups.clock import over
from chorus_handbook.warmups.findings import LIMITS, Finding, Value, found, interval, time
from chorus_handbook.warmups.running_order import MINUTE, PlannedItem, RunningOrder

#: The widest range of a loud item outdoors: a major sixth, in semitones.
SIXTH: int = LIMITS["outdoor"]["widest"]
#: The impact from which an item is loud.
LOUD: int = LIMITS["outdoor"]["loud"]
#: The highest impact before a concert.
CONCERT_IMPACT: int = LIMITS["concert"]["impact"]
#: The longest singing time before a concert, in the first block and in a later one.
FIRST_BLOCK_SINGING: int = LIMITS["concert"]["first_block"]
LATER_BLOCK_SINGING: int = LIMITS["concert"]["later_block"]
#: How long an item for children usually is.
CHILDREN_ITEM: int = LIMITS["children"]["item"]
#: With this many lines or more, an item makes no sense for one singer alone.
ONLINE_LINES: int = LIMITS["online_lines"]
#: Goals for which singers must hear each other.
_SHARED_GOALS = frozenset({"tuning", "blend", "harmony"})

#: The name of a finding and its values.
_Found = tuple[str, Mapping[str, Value]]


def check_occasion(order: RunningOrder) -> Iterator[Finding]:
    """Yields notices `warmup-occasion`: at most one for each item that does not suit the occasion,
    and one for each block of a concert's warm-up that has too much singing."""
    for place, item in enumerate(order.items):
        rule = _RULES.get(order.occasion) if order.occasion else None
        if rule and (one := rule(item)):
            name, values = one
            yield found(order, name, place, **values)
    for index, block in enumerate(order.blocks if order.occasion == "concert" else ()):
        singing = sum(item.singing for item in block)
        most = LATER_BLOCK_SINGING if index else FIRST_BLOCK_SINGING
        if singing > most:
            name = "concert-block" if index else "concert-singing"
            yield found(order, name, None, time=time(singing), most=time(most))


def _concert(item: PlannedItem) -> _Found | None:
    if item.impact > CONCERT_IMPACT:
        return "concert-strong", {"n": item.impact, "impact": CONCERT_IMPACT}
    return None


def _outdoor(item: PlannedItem) -> _Found | None:
    if item.impact >= LOUD and item.span > SIXTH:
        values = {"interval": interval(item.span), "widest": interval(SIXTH), "n": item.impact}
        return "outdoor", values
    return None


def _children(item: PlannedItem) -> _Found | None:
    if over(item.length, CHILDREN_ITEM) and not item.comment:
        minutes = f"{CHILDREN_ITEM / MINUTE:g}"
        return "children-item", {"time": time(item.length), "minutes": minutes}
    return None


def _online(item: PlannedItem) -> _Found | None:
    if item.is_round:
        return "online-round", {}
    if item.lines >= ONLINE_LINES:
        return "online-lines", {"n": item.lines}
    if item.main_goal in _SHARED_GOALS:
        return "online-goal", {"goal": {"goal": item.main_goal}}
    return None


_RULES: dict[Occasion, Callable[[PlannedItem], _Found | None]] = {
    "concert": _concert,
    "outdoor": _outdoor,
    "children": _children,
    "online": _online,
}
