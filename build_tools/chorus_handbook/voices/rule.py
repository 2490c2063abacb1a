"""The rule of the ladder, which decides whether a voice can sing in a key. All numbers are MIDI
numbers.

A voice is *out* when any note is beyond its limits, at the *edge* when any note is outside its
comfortable range, and *comfortable* otherwise. Notes that it only glides over, and all notes of a
hum or trill, may go as far as its extended range. The browser runs the same rule
(`browser/ladder.js`), so only whole numbers are used.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["comfortable", "edge", "out"]
End = Literal["neither", "bottom", "top", "both"]


@dataclass(frozen=True, slots=True)
class Reach:
    """The lowest and highest notes of a voice in one key.

    lowest, highest: of all notes except those it only glides over; if it glides over all, of these.
    held_lowest, held_highest: of the notes that it sustains for a beat or more; None without any.
    glided_lowest, glided_highest: of the notes that it only glides over; None without any.
    wide: whether every note may use the extended range.
    """

    lowest: int
    highest: int
    held_lowest: int | None = None
    held_highest: int | None = None
    glided_lowest: int | None = None
    glided_highest: int | None = None
    wide: bool = False

    def moved(self, semitones: int) -> Reach:
        """This reach transposed up by `semitones`."""

        def transposed(note: int | None) -> int | None:
            return None if note is None else note + semitones

        return Reach(
            self.lowest + semitones,
            self.highest + semitones,
            transposed(self.held_lowest),
            transposed(self.held_highest),
            transposed(self.glided_lowest),
            transposed(self.glided_highest),
            self.wide,
        )


@dataclass(frozen=True, slots=True)
class Compass:
    """The range of a voice in MIDI numbers: where it is comfortable, how far it ever sings (its
    limits), and how far hums, trills and glides may go (its extended range)."""

    comfortable_low: int
    comfortable_high: int
    limit_low: int
    limit_high: int
    extended_low: int
    extended_high: int


def state(reach: Reach, compass: Compass) -> State:
    """The state of a voice with this range whose lowest and highest notes are those of `reach`."""
    if any(_beyond_limits(reach, compass)):
        return "out"
    return "edge" if any(_beyond_comfort(reach, compass)) else "comfortable"


def end(reach: Reach, compass: Compass) -> End:
    """The end of its range that a voice passes: the end of its limits if it is out, otherwise the
    end of its comfortable range."""
    out = _beyond_limits(reach, compass)
    below, above = out if any(out) else _beyond_comfort(reach, compass)
    if below and above:
        return "both"
    return "bottom" if below else "top" if above else "neither"


def _beyond_limits(reach: Reach, compass: Compass) -> tuple[bool, bool]:
    """Whether any note is below the limits, and whether any is above."""
    lowest = compass.extended_low if reach.wide else compass.limit_low
    highest = compass.extended_high if reach.wide else compass.limit_high
    glided_low, glided_high = _glided(reach)
    return (
        reach.lowest < lowest or glided_low < compass.extended_low,
        reach.highest > highest or glided_high > compass.extended_high,
    )


def _beyond_comfort(reach: Reach, compass: Compass) -> tuple[bool, bool]:
    """Whether any note is below the comfortable range, and whether any is above."""
    glided_low, glided_high = _glided(reach)
    return (
        min(reach.lowest, glided_low) < compass.comfortable_low,
        max(reach.highest, glided_high) > compass.comfortable_high,
    )


def _glided(reach: Reach) -> tuple[int, int]:
    """The lowest and highest notes that a voice glides over. Without any, those that it sings,
    which changes no comparison."""
    return (
        reach.lowest if reach.glided_lowest is None else reach.glided_lowest,
        reach.highest if reach.glided_highest is None else reach.glided_highest,
    )


def holds_beyond_comfort(reach: Reach, compass: Compass) -> bool:
    """Whether the voice sustains a note outside its comfortable range for a beat or more."""
    low, high = reach.held_lowest, reach.held_highest
    below = low is not None and low < compass.comfortable_low
    return below or (high is not None and high > compass.comfortable_high)


def other_octave(reach: Reach, compass: Compass) -> int:
    """By how many octaves a voice that is out could move so that it is not out any more: -1, 1, or
    0 when neither helps."""
    for octaves in (-1, 1):
        if state(reach.moved(12 * octaves), compass) != "out":
            return octaves
    return 0
