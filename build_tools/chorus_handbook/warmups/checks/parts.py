"""Parts that nobody sings, or too few.

What it checks: that in an item with several different lines each line has a voice that is there,
and that no line is left to a single voice with one or two singers (field `few`). A round that lacks
a section goes on with the others, and so do unisons. There is no notice if the item's `variation`
or `note` names the voice, because its author has thought of it (our choice). Source: common
practice; voices with fewer than three singers get no part of their own.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.warmups.findings import Finding, found, voices
from chorus_handbook.warmups.running_order import PlannedItem, RunningOrder


def check_parts(order: RunningOrder) -> Iterator[Finding]:
    """Yields notices `warmup-parts`, at most one for each item: about lines that nobody is there to
    sing, or else about lines with one or two singers."""
    for place, item in enumerate(order.items):
        if len(item.parts) < 2:
            continue
        missing, alone = _missing(order, item), _alone(order, item)
        if missing:
            yield found(order, "parts-missing", place, n=len(item.parts), voices=voices(missing))
        elif alone:
            yield found(order, "parts-alone", place, voices=voices(alone))


def _missing(order: RunningOrder, item: PlannedItem) -> list[str]:
    """The voices whose line nobody is there to sing; none in a round."""
    absent = () if item.is_round else [part for part in item.parts if not part & item.there]
    return [name for part in absent for name in _unnamed(order, part, item)]


def _alone(order: RunningOrder, item: PlannedItem) -> list[str]:
    """The voices with one or two singers that have a line to themselves."""
    alone: list[str] = []
    for part in item.parts:
        singers = part & item.there
        if len(singers) == 1 and singers <= order.few:
            alone += _unnamed(order, singers, item)
    return alone


def _unnamed(order: RunningOrder, part: frozenset[str], item: PlannedItem) -> list[str]:
    """These voices in the chorus's order; none if the item's comment names one."""
    names = [name for name in order.voices if name in part]
    comment = item.comment.lower()
    return [] if any(order.voices[name].label.lower() in comment for name in names) else names
