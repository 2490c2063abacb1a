"""Which notes an item needs to have been sung before it, because it goes beyond a voice's
comfortable range. `checks/extremes.py` has the rule: a voice goes no more than a fourth beyond what
it has sung.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

from chorus_handbook.warmups.checks.extremes import FOURTH
from chorus_handbook.warmups.running_order import PlannedItem


class NoteNeeded(NamedTuple):
    """A note that a voice must have reached before an item: it must have sung `note` or higher if
    `end` is "high", `note` or lower if it is "low". `note` is a MIDI number."""

    voice: str
    end: Literal["high", "low"]
    note: int


def notes_needed(item: PlannedItem, ranges: Mapping[str, tuple[int, int]]) -> set[NoteNeeded]:
    """The notes that must have been reached before an item, so that it takes no voice beyond its
    comfortable range unprepared. `ranges` has the lowest and highest comfortable note of each
    voice. The keys of the item prepare one another, so what an earlier key reaches need not have
    been sung before. There is at most one note for each end of each voice: the farthest."""
    farthest: dict[tuple[str, Literal["high", "low"]], int] = {}
    highest: dict[str, int] = {}
    lowest: dict[str, int] = {}
    for key in item.keys:
        for voice, reach in key.items():
            bottom, top = ranges[voice]
            high, low = reach.open_highest, reach.open_lowest
            if high is not None and high > top and high - FOURTH > highest.get(voice, 0):
                before = farthest.get((voice, "high"), 0)
                farthest[voice, "high"] = max(high - FOURTH, before)
            if low is not None and low < bottom and low + FOURTH < lowest.get(voice, 128):
                before = farthest.get((voice, "low"), 128)
                farthest[voice, "low"] = min(low + FOURTH, before)
        for voice, reach in key.items():
            highest[voice] = max(reach.highest, highest.get(voice, reach.highest))
            lowest[voice] = min(reach.lowest, lowest.get(voice, reach.lowest))
    return {NoteNeeded(voice, end, note) for (voice, end), note in farthest.items()}


def notes_sung(item: PlannedItem, need: NoteNeeded) -> bool:
    """Whether an item reaches such a note."""
    reaches = [key[need.voice] for key in item.keys if need.voice in key]
    if need.end == "high":
        return any(reach.highest >= need.note for reach in reaches)
    return any(reach.lowest <= need.note for reach in reaches)
