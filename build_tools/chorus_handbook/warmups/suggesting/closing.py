"""Adds the conditions for the last item to the integer program of a suggestion: it takes no voice
to a height that nothing has prepared.

What a chorus ends with is sung softly and straight into the music, so it is no place to reach for
notes. Source: common practice; the intervals are our choice.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from chorus_handbook.warmups.running_order import PlannedItem
from chorus_handbook.warmups.suggesting.choices import Choices
from chorus_handbook.warmups.suggesting.extremes import NoteNeeded, notes_sung
from chorus_handbook.warmups.suggesting.stages import Stage

#: How far above what a voice has sung the last item may take it: a fourth.
_FOURTH = 5
#: A note no more than this above the middle of a voice's comfortable range needs no preparation: a
#: fourth.
_NEAR_MIDDLE = 5


def to_prepare(item: PlannedItem, ranges: Mapping[str, tuple[int, int]]) -> set[NoteNeeded]:
    """The notes that must have been reached before an item if it is the last: one for each voice
    that it takes well above the middle of its comfortable range."""
    tops: dict[str, int] = {}
    for key in item.keys:
        for voice, reach in key.items():
            tops[voice] = max(reach.highest, tops.get(voice, 0))
    return {
        NoteNeeded(voice, "high", top - _FOURTH)
        for voice, top in tops.items()
        if 2 * (top - _NEAR_MIDDLE) > sum(ranges[voice])
    }


def add_closing(choices: Choices) -> None:
    """Add the condition that the notes of the last item are prepared. What was asked for is exempt,
    and so is a note that no candidate could prepare."""
    program, asked = choices.program, choices.request.keep
    closers: dict[NoteNeeded, list[int]] = defaultdict(list)
    for one in choices.all:
        if one.stage == Stage.CLOSE and one.candidate.slug not in asked:
            for need in to_prepare(one.item, choices.ranges):
                closers[need].append(one.column)
    for need, columns in sorted(closers.items()):
        before = [
            one.column
            for one in choices.all
            if one.stage != Stage.CLOSE and notes_sung(one.item, need)
        ]
        if before:
            program.implies(columns, before)
