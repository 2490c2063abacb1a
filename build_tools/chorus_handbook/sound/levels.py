"""Turns dynamics into levels: how loud a voice sounds at each moment, from 0 to 1.

Neighbouring dynamics, such as mf and f, are 3 dB apart. This is our choice, as no standard gives a
value: it is three times the smallest difference that people hear (about 1 dB, from memory), so that
each step is heard, and makes 15 dB from pp to ff, so that pp is still heard on a phone. mf is half
of the loudest level. In hairpins the level changes evenly in decibels.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from fractions import Fraction

from chorus_handbook.music.score import DYNAMICS, Dynamic

#: Decibels between one dynamic and the next.
DECIBELS_BETWEEN = 3.0


def gain(decibels: float) -> float:
    """The factor by which a change of this many decibels multiplies an amplitude."""
    return float(10 ** (decibels / 20))


#: The level of each dynamic, from ff down to pp.
LEVELS: dict[str, float] = {
    sign: round(gain(-DECIBELS_BETWEEN * below), 3) for below, sign in enumerate(reversed(DYNAMICS))
}
#: The level of a part without dynamics.
PLAIN = LEVELS["mf"]
_ALL_LEVELS = tuple(LEVELS.values())


class Levels:
    """The levels of one part over written time, in quarters. A hairpin leads to the dynamic at its
    end, or to the next one up or down where there is none."""

    def __init__(self, dynamics: Iterable[Dynamic]) -> None:
        marks = sorted(dynamics, key=lambda mark: (mark.onset, mark.end is not None))
        signs = {mark.onset: LEVELS[mark.sign] for mark in marks if mark.sign in LEVELS}
        self._onsets: list[Fraction] = []
        # for each onset: where a hairpin ends (the onset itself for a dynamic), and the levels at
        # its onset and at its end
        self._runs: list[tuple[Fraction, float, float]] = []
        for mark in marks:
            if mark.sign in LEVELS:
                self._add(mark.onset, mark.onset, LEVELS[mark.sign], LEVELS[mark.sign])
            elif mark.end is not None and mark.end > mark.onset:
                now = self.at(mark.onset)
                goal = signs.get(mark.end, _next(now, 1 if mark.sign == "<" else -1))
                self._add(mark.onset, mark.end, now, goal)

    def at(self, moment: Fraction) -> float:
        """The level, from 0 to 1, at a moment of written time (in quarters, as if fermatas took no
        longer)."""
        return self._level(bisect_right(self._onsets, moment) - 1, moment)

    def before(self, moment: Fraction) -> float:
        """The level just before a moment of written time, before a dynamic there takes effect."""
        return self._level(bisect_left(self._onsets, moment) - 1, moment)

    def course(self, start: Fraction, end: Fraction) -> Iterator[tuple[Fraction, float, float]]:
        """The moments between `start` and `end` at which the level changes direction or jumps, and
        `end` itself. Each has the level just before it and the level just after it. In between, the
        level moves evenly in decibels."""
        turns = {*self._onsets, *(run[0] for run in self._runs)}
        for moment in sorted(turn for turn in turns if start < turn < end):
            yield moment, self.before(moment), self.at(moment)
        yield end, self.before(end), self.before(end)

    def _level(self, place: int, moment: Fraction) -> float:
        """The level at a moment that is after the onset with the index `place` (-1: before all)."""
        if place < 0:
            return PLAIN
        onset, (end, first, last) = self._onsets[place], self._runs[place]
        if moment >= end:
            return last
        return between(first, last, float((moment - onset) / (end - onset)))

    def _add(self, onset: Fraction, end: Fraction, first: float, last: float) -> None:
        self._onsets.append(onset)
        self._runs.append((end, first, last))


def between(first: float, last: float, way: float) -> float:
    """The level when a share `way` (0 to 1) of the change from level `first` to level `last` is
    done; the change is even in decibels."""
    return round(float(first * (last / first) ** way), 3)


def _next(level: float, direction: int) -> float:
    """The level of the next dynamic, up or down; the same level beyond ff and pp."""
    if direction > 0:
        return min((step for step in _ALL_LEVELS if step > level), default=level)
    return max((step for step in _ALL_LEVELS if step < level), default=level)
