"""Parts that nobody sings, or too few.

What it checks: that in an item with several different lines each line has a voice that is there,
and that no line is left to a single voice with one or two singers (field `few`). A round that lacks
a section goes on with the others, and so do unisons. There is no notice if the item's `variation`
or `note` names the voice, because its author has thought of it (our choice). Source: common
practice; voices with fewer than three singers get no part of their own.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.wording import listed
from chorus_handbook.warmups.running_order import Finding, PlannedItem, RunningOrder


def check_parts(order: RunningOrder) -> Iterator[Finding]:
    """Notice `warmup-parts`, at most one for each item."""
    for place, item in enumerate(order.items):
        if len(item.parts) < 2:
            continue
        missing, alone = _missing(order, item), _alone(order, item)
        if missing:
            yield Finding(
                "warmup-parts",
                place,
                f"{item.named()} has {len(item.parts)} different lines, and nobody is there to "
                f"sing that of {listed(missing)}.",
                'Give that line to others and say so under "variation", or choose an item that '
                "everyone who is there can sing in unison.",
            )
        elif alone:
            yield Finding(
                "warmup-parts",
                place,
                f"{item.named()} gives {listed(alone)} a line of its own, with one or two singers.",
                'Have them sing another line and say so under "variation", or choose an item in '
                "which they share a line with others.",
            )


def _missing(order: RunningOrder, item: PlannedItem) -> list[str]:
    """The labels of the voices whose line nobody is there to sing; none in a round."""
    absent = () if item.is_round else [part for part in item.parts if not part & item.there]
    return [label for part in absent for label in _labels(order, part, item)]


def _alone(order: RunningOrder, item: PlannedItem) -> list[str]:
    """The labels of voices with one or two singers that have a line to themselves."""
    alone: list[str] = []
    for part in item.parts:
        singers = part & item.there
        if len(singers) == 1 and singers <= order.few:
            alone += _labels(order, singers, item)
    return alone


def _labels(order: RunningOrder, voices: frozenset[str], item: PlannedItem) -> list[str]:
    """The labels of these voices in the chorus's order; none if the item's comment names one."""
    labels = [voice.label for name, voice in order.voices.items() if name in voices]
    return [] if any(label.casefold() in item.comment.casefold() for label in labels) else labels
