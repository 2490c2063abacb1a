"""The rule of the ladder: how a voice fares in one key. Whole numbers in, a word out.

A voice is out when any note lies beyond its limits, at the edge when any lies beyond what is
comfortable, comfortable otherwise. Notes that are sung only as far as is easy are left out before
they come here. Numbers are MIDI notes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["comfortable", "edge", "out"]


@dataclass(frozen=True, slots=True)
class Reach:
    """What a voice sings in one key: the furthest notes it touches, and those that it holds for a
    beat or more (None when it holds none)."""

    lowest: int
    highest: int
    held_lowest: int | None = None
    held_highest: int | None = None

    def moved(self, semitones: int) -> Reach:
        """The same in a key so much higher."""
        held = self.held_lowest is not None and self.held_highest is not None
        return Reach(
            self.lowest + semitones,
            self.highest + semitones,
            self.held_lowest + semitones if held and self.held_lowest is not None else None,
            self.held_highest + semitones if held and self.held_highest is not None else None,
        )


@dataclass(frozen=True, slots=True)
class Compass:
    """The range of a voice: comfortable from `low` to `high`, possible from `lowest` to
    `highest`."""

    low: int
    high: int
    lowest: int
    highest: int


def state(reach: Reach, compass: Compass) -> State:
    """How a voice fares that sings this."""
    if reach.lowest < compass.lowest or reach.highest > compass.highest:
        return "out"
    if reach.lowest < compass.low or reach.highest > compass.high:
        return "edge"
    return "comfortable"


def holds_beyond_comfort(reach: Reach, compass: Compass) -> bool:
    """Whether a note beyond what is comfortable is held, and not only touched."""
    low, high = reach.held_lowest, reach.held_highest
    return (low is not None and low < compass.low) or (high is not None and high > compass.high)


def other_octave(reach: Reach, compass: Compass) -> int:
    """By how many octaves a voice that is out could move to be in again: -1, 1, or 0 when neither
    helps."""
    for octaves in (-1, 1):
        if state(reach.moved(12 * octaves), compass) != "out":
            return octaves
    return 0
