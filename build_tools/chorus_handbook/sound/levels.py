"""Dynamics as levels: how loud a voice sounds at each moment.

Levels run from 0 to 1. Signs lie 3 dB apart, our own choice, since no standard fixes them: three
times the smallest change of level that is heard (about 1 dB, from memory), so that every sign
tells, and 15 dB in all, so that the softest is still heard on a phone. With that mf comes to half
of the loudest level, the middle of MIDI's velocities. Hairpins move evenly in decibels.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from fractions import Fraction

from chorus_handbook.music.score import DYNAMICS, Dynamic

#: Decibels between one sign and the next.
STEP = 3.0


def gain(decibels: float) -> float:
    """The factor that so many decibels are."""
    return float(10 ** (decibels / 20))


#: pp to ff.
LEVELS: dict[str, float] = {
    sign: round(gain(-STEP * below), 3) for below, sign in enumerate(reversed(DYNAMICS))
}
#: Where no sign stands.
PLAIN = LEVELS["mf"]
_LADDER = tuple(LEVELS.values())


class Levels:
    """The level of one part at any written moment. A hairpin leads to the sign that stands at its
    end, or one step on where none does."""

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
        return self._level(bisect_right(self._onsets, moment) - 1, moment)

    def before(self, moment: Fraction) -> float:
        """The level to which the part has come when it reaches a moment, before any sign there."""
        return self._level(bisect_left(self._onsets, moment) - 1, moment)

    def course(self, start: Fraction, end: Fraction) -> Iterator[tuple[Fraction, float, float]]:
        """The moments between, and the end, at which the level turns or jumps: each with the level
        to which it has come and the one with which it goes on. In between it moves evenly."""
        turns = {*self._onsets, *(run[0] for run in self._runs)}
        for moment in sorted(turn for turn in turns if start < turn < end):
            yield moment, self.before(moment), self.at(moment)
        yield end, self.before(end), self.before(end)

    def _level(self, place: int, moment: Fraction) -> float:
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
    """The level at a part of the way (0 to 1) from one to another, evenly in decibels."""
    return round(float(first * (last / first) ** way), 3)


def _next(level: float, direction: int) -> float:
    """The nearest sign's level beyond this one, up or down; itself at the end of the ladder."""
    if direction > 0:
        return min((step for step in _LADDER if step > level), default=level)
    return max((step for step in _LADDER if step < level), default=level)
