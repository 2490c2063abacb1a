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

from collections.abc import Callable, Iterator

from chorus_handbook.claims.wording import interval_of, seconds
from chorus_handbook.entries.warm_up import Occasion
from chorus_handbook.warmups.clock import over
from chorus_handbook.warmups.running_order import (
    MINUTE,
    SECOND,
    Finding,
    PlannedItem,
    RunningOrder,
)

#: The widest range of a loud item outdoors: a major sixth, in semitones.
SIXTH = 9
#: The impact from which an item is loud.
LOUD = 4
#: The highest impact before a concert.
CONCERT_IMPACT = 4
#: The longest singing time before a concert, in the first block and in a later one.
FIRST_BLOCK_SINGING, LATER_BLOCK_SINGING = 6 * MINUTE, 3 * MINUTE
#: How long an item for children usually is.
CHILDREN_ITEM = 75 * SECOND
#: With this many lines or more, an item makes no sense for one singer alone.
ONLINE_LINES = 3
#: Goals for which singers must hear each other.
_SHARED_GOALS = frozenset({"tuning", "blend", "harmony"})


def check_occasion(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-occasion`: at most one for each item, and one for each block of a concert's
    warm-up."""
    for place, item in enumerate(order.items):
        rule = _RULES.get(order.occasion) if order.occasion else None
        if rule and (found := rule(item)):
            what, cure = found
            yield Finding("warmup-occasion", place, f"{item.named()} {what}.", f"{cure}.")
    for index, block in enumerate(order.blocks if order.occasion == "concert" else ()):
        singing = sum(item.singing for item in block)
        most = LATER_BLOCK_SINGING if index else FIRST_BLOCK_SINGING
        if singing > most:
            which = "The block right before the concert" if index else "This warm-up for a concert"
            yield Finding(
                "warmup-occasion",
                None,
                f"{which} has {seconds(singing / SECOND)} of singing; "
                f"{seconds(most / SECOND)} are enough.",
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


def _children(item: PlannedItem) -> tuple[str, str] | None:
    if over(item.length, CHILDREN_ITEM) and not item.comment:
        return (
            f"takes {seconds(item.length / SECOND)}, which is long for children",
            f'Write "minutes: {CHILDREN_ITEM / MINUTE:g}" or less, and plan fewer keys',
        )
    return None


def _online(item: PlannedItem) -> tuple[str, str] | None:
    if item.is_round:
        what = "is a round"
    elif item.lines >= ONLINE_LINES:
        what = f"has {item.lines} lines at once"
    elif item.main_goal in _SHARED_GOALS:
        what = f"is mainly for {item.main_goal}"
    else:
        return None
    return (
        f"{what}, and online the singers do not hear each other in time",
        "Choose an item that each singer can sing alone, such as an echo: the leader sings a "
        "phrase, and the others repeat it muted",
    )


_RULES: dict[Occasion, Callable[[PlannedItem], tuple[str, str] | None]] = {
    "concert": _concert,
    "outdoor": _outdoor,
    "children": _children,
    "online": _online,
}
