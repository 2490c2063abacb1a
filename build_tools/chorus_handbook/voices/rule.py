"""The rule of the ladder: whether a voice can sing in one key. All numbers are MIDI numbers.

A voice is *out* when any note is beyond its limits, at the *edge* when any note is outside its
comfortable range, and *comfortable* otherwise. Notes that it only glides over, and all notes of a
hum or trill, may go as far as the voice's widest range. The browser runs the same rule
(`browser/ladder.js`), so it uses whole numbers only.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["comfortable", "edge", "out"]
End = Literal["neither", "bottom", "top", "both"]


@dataclass(frozen=True, slots=True)
class Reach:
    """The lowest and highest notes of a voice in one key, in three groups: all notes except those
    it only glides over; those it holds for a beat or more; those it glides over. None for an empty
    group. `wide`: every note may use the widest range."""

    lowest: int
    highest: int
    held_lowest: int | None = None
    held_highest: int | None = None
    glided_lowest: int | None = None
    glided_highest: int | None = None
    wide: bool = False

    def moved(self, semitones: int) -> Reach:
        """This reach transposed up by `semitones`."""

        def there(note: int | None) -> int | None:
            return None if note is None else note + semitones

        return Reach(
            self.lowest + semitones,
            self.highest + semitones,
            there(self.held_lowest),
            there(self.held_highest),
            there(self.glided_lowest),
            there(self.glided_highest),
            self.wide,
        )


@dataclass(frozen=True, slots=True)
class Compass:
    """The range of a voice in MIDI numbers: where it sings with ease, how far it ever goes, and how
    far hums, trills and glides may go."""

    comfortable_low: int
    comfortable_high: int
    limit_low: int
    limit_high: int
    extended_low: int
    extended_high: int


def state(reach: Reach, compass: Compass) -> State:
    """Whether a voice with this compass is comfortable, at the edge or out with this reach."""
    if any(_beyond_limits(reach, compass)):
        return "out"
    return "edge" if any(_beyond_comfort(reach, compass)) else "comfortable"


def end(reach: Reach, compass: Compass) -> End:
    """The end of its range that a voice passes: of its limits if it is out, else of what is
    comfortable."""
    out = _beyond_limits(reach, compass)
    below, above = out if any(out) else _beyond_comfort(reach, compass)
    if below and above:
        return "both"
    return "bottom" if below else "top" if above else "neither"


def _beyond_limits(reach: Reach, compass: Compass) -> tuple[bool, bool]:
    """Whether any note lies below the limits, and whether any lies above."""
    lowest = compass.extended_low if reach.wide else compass.limit_low
    highest = compass.extended_high if reach.wide else compass.limit_high
    glided_low, glided_high = _glided(reach)
    return (
        reach.lowest < lowest or glided_low < compass.extended_low,
        reach.highest > highest or glided_high > compass.extended_high,
    )


def _beyond_comfort(reach: Reach, compass: Compass) -> tuple[bool, bool]:
    """Whether any note lies below what is comfortable, and whether any lies above."""
    glided_low, glided_high = _glided(reach)
    return (
        min(reach.lowest, glided_low) < compass.comfortable_low,
        max(reach.highest, glided_high) > compass.comfortable_high,
    )


def _glided(reach: Reach) -> tuple[int, int]:
    return (
        reach.lowest if reach.glided_lowest is None else reach.glided_lowest,
        reach.highest if reach.glided_highest is None else reach.glided_highest,
    )


def holds_beyond_comfort(reach: Reach, compass: Compass) -> bool:
    """Whether a note outside the comfortable range is held for a beat or more."""
    low, high = reach.held_lowest, reach.held_highest
    below = low is not None and low < compass.comfortable_low
    return below or (high is not None and high > compass.comfortable_high)


def other_octave(reach: Reach, compass: Compass) -> int:
    """By how many octaves a voice that is out could move to be in again: -1, 1, or 0 when neither
    helps."""
    for octaves in (-1, 1):
        if state(reach.moved(12 * octaves), compass) != "out":
            return octaves
    return 0
