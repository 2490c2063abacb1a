"""What an occasion forbids.

What it checks, by the field `kind` of a warm-up:

- concert: no item above impact 4, and no more than 6 minutes of singing, or 3 in a later block,
  right before the concert
- outdoor: no item that is both wider than a sixth and loud (impact 4 or more)
- children: no item longer than 75 seconds by more than a minute (our choice: as where a warm-up
  runs over); one whose author plans a `variation` may change on the way
- online: no round, nothing in three or more lines, and nothing that is mainly for tuning, blend or
  harmony: the delay keeps singers from hearing each other in time, and all but one are muted. Two
  lines, such as a scale that low voices join halfway, can be sung alone at home (our choice)

Source: common practice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from chorus_handbook.claims.wording import interval_of, seconds
from chorus_handbook.entries.warm_up import Occasion
from chorus_handbook.warmups.clock import over
from chorus_handbook.warmups.running_order import (
    HALF_SECONDS,
    MINUTE,
    Finding,
    PlannedItem,
    RunningOrder,
)

#: The widest that a loud item may be outdoors, in semitones, and the impact from which it is loud.
SIXTH, LOUD = 9, 4
#: The highest impact before a concert; the longest singing in the first block and in a later one,
#: in half-seconds.
CONCERT_IMPACT, CONCERT_SINGING, AGAIN_SINGING = 4, 6 * MINUTE, 3 * MINUTE
#: The longest item for children, in half-seconds.
CHILDREN_ITEM = 75 * HALF_SECONDS
#: The lines from which singing alone at home makes no sense.
ONLINE_LINES = 3
#: Goals for which singers must hear each other.
_HEARING = frozenset({"tuning", "blend", "harmony"})


def check_occasion(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-occasion`: at most one for each item, and one for each block of a concert's
    warm-up."""
    for place, item in enumerate(order.items):
        rule = _RULES.get(order.occasion) if order.occasion else None
        if rule and (found := rule(item)):
            what, cure = found
            yield Finding("warmup-occasion", place, f'"{item.title}" {what}.', f"{cure}.")
    for number, block in enumerate(order.blocks if order.occasion == "concert" else ()):
        singing = sum(item.singing for item in block)
        most = AGAIN_SINGING if number else CONCERT_SINGING
        if singing > most:
            which = "The block right before the concert" if number else "This warm-up for a concert"
            yield Finding(
                "warmup-occasion",
                None,
                f"{which} has {seconds(singing / HALF_SECONDS)} of singing; "
                f"{seconds(most / HALF_SECONDS)} are enough.",
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
            f"takes {seconds(item.length / HALF_SECONDS)}, which is long for children",
            f'Write "minutes: {CHILDREN_ITEM / MINUTE:g}" or less, and plan fewer keys',
        )
    return None


def _online(item: PlannedItem) -> tuple[str, str] | None:
    if item.is_round:
        what = "is a round"
    elif item.lines >= ONLINE_LINES:
        what = f"has {item.lines} lines at once"
    elif item.main_goal in _HEARING:
        what = f"is mainly for {item.main_goal}"
    else:
        return None
    return (
        f"{what}, and online the singers do not hear each other in time",
        "Choose an item that each singer can sing alone, as an echo with everyone else muted",
    )


_RULES: dict[Occasion, Callable[[PlannedItem], tuple[str, str] | None]] = {
    "concert": _concert,
    "outdoor": _outdoor,
    "children": _children,
    "online": _online,
}
