"""Notes beyond a comfortable range, and which items prepare them, as `checks/extremes.py` asks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

from chorus_handbook.warmups.checks.extremes import FOURTH
from chorus_handbook.warmups.running_order import PlannedItem


class NoteNeeded(NamedTuple):
    """That a voice has sung up to `note`, or higher, or down to it, or lower, before an item.
    `note` is a MIDI number."""

    voice: str
    end: Literal["high", "low"]
    note: int


def notes_needed(item: PlannedItem, ranges: Mapping[str, tuple[int, int]]) -> set[NoteNeeded]:
    """What must have been sung before an item, so that it takes no voice unprepared beyond its
    comfortable range. Its own keys prepare one another. At most one note for each end of a voice:
    the farthest."""
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
    """Whether an item prepares such a note."""
    reaches = [key[need.voice] for key in item.keys if need.voice in key]
    if need.end == "high":
        return any(reach.highest >= need.note for reach in reaches)
    return any(reach.lowest <= need.note for reach in reaches)
