"""Divides a score into measures as written: upbeats, bar numbers, bar lines, and cuts in bars that
are too wide. A cut is made where a beam may end, and where few voices hold a note.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from chorus_handbook.engraving.beats import beam_starts
from chorus_handbook.music.score import Note, Rest, Score

BarLine = Literal["single", "dbl", "end", "invis"]


@dataclass(frozen=True, slots=True)
class Measure:
    """A bar, or a piece of a bar that was cut. Times are in quarters.

    bar: the index of the bar in the score.
    number: the printed bar number; None for upbeats, later pieces of a bar, and in free meter.
    bar_line: the bar line at its end.
    upbeat: whether its first beats are missing.
    continues: whether it is a later piece of a bar, in which the accidentals of the bar are still
        valid.
    """

    onset: Fraction
    end: Fraction
    bar: int
    number: int | None
    bar_line: BarLine = "single"
    upbeat: bool = False
    continues: bool = False

    @property
    def length(self) -> Fraction:
        return self.end - self.onset


def measures(
    score: Score,
    lines: Sequence[Sequence[Note | Rest]],
    longest: Mapping[int, Fraction],
) -> list[Measure]:
    """The measures of a score. `longest` maps the index of each bar that must be cut to the
    greatest length of its pieces, in quarters. Bars are cut at moments at which few of the `lines`
    (the events of each staff) have a note that sounds on."""
    found: list[Measure] = []
    for bar in _bars(score):
        edges = [bar.onset, *_cuts(score, bar, lines, longest.get(bar.bar)), bar.end]
        for onset, end in pairwise(edges):
            found.append(
                replace(
                    bar,
                    onset=onset,
                    end=end,
                    number=bar.number if onset == bar.onset else None,
                    bar_line=bar.bar_line if end == bar.end else "invis",
                    continues=onset > bar.onset,
                )
            )
    return found


def _bars(score: Score) -> Iterator[Measure]:
    """The bars of a score, not yet cut."""
    blocks = {block.onset for block in score.blocks}
    starts = sorted({t for t in score.bar_starts if t < score.length})
    number = 0
    short = False  # whether the bar before was shorter than the meter
    for bar, (onset, end) in enumerate(pairwise([*starts, score.length])):
        first = bar == 0 or (short and onset in blocks)
        upbeat = first and score.pickup > 0 and end - onset == score.pickup
        short = end - onset < score.meter.bar
        if not upbeat:
            number += 1
        counted = None if upbeat or score.meter.free else number
        line: BarLine = "end" if end == score.length else "dbl" if end in blocks else "single"
        yield Measure(onset, end, bar, counted, line, upbeat)


def _cuts(
    score: Score, bar: Measure, lines: Sequence[Sequence[Note | Rest]], longest: Fraction | None
) -> list[Fraction]:
    """The moments at which a bar is cut into pieces that, if possible, are no longer than
    `longest`. No cut is inside a beam."""
    cuts: list[Fraction] = []
    if longest is None:
        return cuts
    places = beam_starts(score.meter, bar.length, bar.upbeat)
    left = Fraction(0)
    while (rest := bar.length - left) > longest:
        even = rest / math.ceil(rest / longest)  # the length of equally long pieces
        later = [t for t in places if t > left]
        # places from 3/4 to 5/4 of the even length away, but no farther than `longest`
        near = [t for t in later if 3 * even <= 4 * (t - left) <= min(5 * even, 4 * longest)]
        choice = near or [t for t in later if t <= left + longest][-1:] or later[:1]
        if not choice:
            break
        ideal = left + even
        left = min(choice, key=lambda t: (_sounding_through(lines, bar.onset + t), abs(t - ideal)))
        cuts.append(bar.onset + left)
    return cuts


def _sounding_through(lines: Sequence[Sequence[Note | Rest]], moment: Fraction) -> int:
    """How many lines have a note that begins before a moment and lasts beyond it."""
    through = 0
    for line in lines:
        place = bisect_left(line, moment, key=lambda event: event.onset) - 1
        through += place >= 0 and isinstance(line[place], Note) and line[place].end > moment
    return through
