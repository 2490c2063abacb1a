"""Says how difficult an exercise is (its level) and how many minutes it takes once the chorus knows
it. If the author states either in the front matter, that counts; otherwise it is computed from the
measured notes.
"""

from __future__ import annotations

from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music.facts import Facts

#: Seconds of talking that a known exercise takes in addition to its music: it is announced, its
#: first note is given, and something is said afterwards. Our choice.
_TALK_SECONDS = 20
#: Times are rounded to multiples of this, in minutes.
_QUARTER_MINUTE = 0.25


def level_of(front: FrontMatter, facts: Facts | None) -> int | None:
    """The level, 1 to 3; None when it is neither stated nor measured."""
    return front.level or (facts.difficulty.level if facts else None)


def known_minutes(front: FrontMatter, facts: Facts | None) -> float:
    """How many minutes an exercise takes once it is known: as many as the author states; otherwise
    as many as its music takes, but no more than when it is sung for the first time
    (`front.minutes`). Without notes to measure, it takes as many as the first time."""
    if front.known is not None or facts is None:
        return front.known or front.minutes
    return min(front.minutes, measured_minutes(facts))


def measured_minutes(facts: Facts) -> float:
    """How many minutes all of the music and a little talking take, rounded to quarters of a minute,
    and never less than one quarter."""
    minutes = (facts.length_seconds + _TALK_SECONDS) / 60
    return max(1, round(minutes / _QUARTER_MINUTE)) * _QUARTER_MINUTE
