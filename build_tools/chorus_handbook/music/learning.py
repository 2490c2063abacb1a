"""The level of an exercise, and how long it takes once it is known: as its author states them, or
else as measured."""

from __future__ import annotations

from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.facts import Facts

#: Seconds of talking that a known exercise takes besides its music: it is announced, its first note
#: is given, and something is said afterwards. Our choice.
_TALK = 20
#: Times are rounded to multiples of this, in minutes.
_QUARTER_MINUTE = 0.25


def level_of(front: FrontMatter, facts: Facts | None) -> int | None:
    """The level, 1 to 3; None when it is neither stated nor measured."""
    return front.level or (facts.difficulty.level if facts else None)


def known_minutes(front: FrontMatter, facts: Facts | None) -> float:
    """How many minutes an exercise takes once it is known: as stated, or else as measured, but no
    more than the first time. Without notes to measure, as long as the first time."""
    if front.known is not None or facts is None:
        return front.known or front.minutes
    return min(front.minutes, measured_minutes(facts))


def measured_minutes(facts: Facts) -> float:
    """How many minutes an exercise takes by its measured length: all of the music and a little
    talking, rounded to a quarter of a minute."""
    return max(1, round((facts.length_seconds + _TALK) / 60 / _QUARTER_MINUTE)) * _QUARTER_MINUTE
