"""Dynamics as levels: how loud a voice sounds at each moment.

Levels run from 0 to 1. The steps between the signs are our own choice, even and small enough that
the quietest voice is heard on a phone; no standard fixes them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from fractions import Fraction

from chorus_handbook.music.score import DYNAMICS, Dynamic

#: pp to ff.
LEVELS: dict[str, float] = dict(zip(DYNAMICS, (0.4, 0.5, 0.6, 0.7, 0.85, 1.0), strict=True))
#: Where no sign stands.
PLAIN = LEVELS["mf"]
_LADDER = tuple(LEVELS.values())


class Levels:
    """The level of one part at any written moment. A hairpin leads to the sign that stands at its
    end, or one step on where none does; in between the level moves evenly."""

    def __init__(self, dynamics: Iterable[Dynamic]) -> None:
        marks = sorted(dynamics, key=lambda mark: (mark.onset, mark.end is not None))
        signs = {mark.onset: LEVELS[mark.sign] for mark in marks if mark.sign in LEVELS}
        self._onsets: list[Fraction] = []
        self._runs: list[tuple[Fraction, float, float]] = []  # end, level at onset, level at end
        for mark in marks:
            if mark.sign in LEVELS:
                self._add(mark.onset, mark.onset, LEVELS[mark.sign], LEVELS[mark.sign])
            elif mark.end is not None and mark.end > mark.onset:
                now = self.at(mark.onset)
                goal = signs.get(mark.end, _next(now, 1 if mark.sign == "<" else -1))
                self._add(mark.onset, mark.end, now, goal)

    def at(self, moment: Fraction) -> float:
        """The level at a written moment, in quarters."""
        place = bisect_right(self._onsets, moment) - 1
        if place < 0:
            return PLAIN
        onset, (end, first, last) = self._onsets[place], self._runs[place]
        if moment >= end:
            return last
        return round(first + (last - first) * float((moment - onset) / (end - onset)), 3)

    def _add(self, onset: Fraction, end: Fraction, first: float, last: float) -> None:
        self._onsets.append(onset)
        self._runs.append((end, first, last))


def _next(level: float, direction: int) -> float:
    """The nearest sign's level beyond this one, up or down; itself at the end of the ladder."""
    if direction > 0:
        return min((step for step in _LADDER if step > level), default=level)
    return max((step for step in _LADDER if step < level), default=level)
