"""When the bars of a block begin: lines of different length brought together.

In a meter every line runs on by itself, and what is missing at its end is silence. In free meter
the lines wait for each other at every bar line. Whether bars and lines are as long as they should
be is no verdict of this module: it keeps the lengths as written, for the checks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from chorus_handbook.music.degrees.melody import Melody
from chorus_handbook.music.score import Meter, WrittenBar


@dataclass(frozen=True, slots=True)
class Timetable:
    """A block in time, in quarters from its start.

    `starts` has, for each line, the start of each of its bars; `length` is that of the block;
    `bars` are the starts of the block's bars. `written` and `lengths` are the bars and the length
    of each line for the checks: as written, except where three dots or an unread token leave a
    length open, which then counts as right.
    """

    starts: tuple[tuple[Fraction, ...], ...]
    length: Fraction
    bars: tuple[Fraction, ...]
    written: tuple[tuple[WrittenBar, ...], ...]
    lengths: tuple[Fraction, ...]


def lay_out(melodies: Sequence[Melody], meter: Meter, first: Fraction) -> Timetable:
    """Lay out the lines of one block; `first` is the length its first bar should have, in
    quarters (a whole bar, or the pickup)."""
    return _free(melodies) if meter.free else _metered(melodies, meter.bar, first)


def _metered(melodies: Sequence[Melody], bar: Fraction, first: Fraction) -> Timetable:
    written = tuple(_granted(melody, bar, first) for melody in melodies)
    closed = [i for i, melody in enumerate(melodies) if not melody.open_at]
    sure = [i for i in closed if not melodies[i].unsure]
    closed_bars = max((len(written[i]) for i in closed), default=0)
    length = max((_total(written[i]) for i in sure or closed), default=Fraction(0))
    for melody in melodies:
        if melody.open_at:
            length = max(length, _least_end(melody, bar, first, closed_bars))
    return Timetable(
        tuple(_starts([b.length for b in melody.bars]) for melody in melodies),
        length,
        _grid(length, bar, first),
        written,
        tuple(_total(written[i]) if i in sure else length for i in range(len(melodies))),
    )


def _granted(melody: Melody, bar: Fraction, first: Fraction) -> tuple[WrittenBar, ...]:
    """The bars as the checks see them: those of open length are as long as they should be."""
    open_bars = {*melody.unsure, len(melody.bars) - 1} if melody.open_at else melody.unsure
    return tuple(
        WrittenBar(b.place, bar if i else first) if i in open_bars else b
        for i, b in enumerate(melody.bars)
    )


def _least_end(melody: Melody, bar: Fraction, first: Fraction, closed_bars: int) -> Fraction:
    """Where a line with three dots ends at the earliest, when no other line is longer."""
    *before, last = (b.length for b in melody.bars)
    start = sum(before, Fraction(0))
    if len(melody.bars) <= closed_bars:  # another line says how long that bar is
        return start + last
    wanted = first if not before else bar
    if last > wanted:
        wanted += -((wanted - last) // bar) * bar
    return start + wanted


def _grid(length: Fraction, bar: Fraction, first: Fraction) -> tuple[Fraction, ...]:
    count = 1 + max(0, -((first - length) // bar))
    return (Fraction(0), *(first + bar * i for i in range(count - 1)))


def _free(melodies: Sequence[Melody]) -> Timetable:
    count = max(len(melody.bars) for melody in melodies)
    lengths = [
        max(melody.bars[i].length for melody in melodies if i < len(melody.bars))
        for i in range(count)
    ]
    starts = _starts(lengths)
    length = sum(lengths, Fraction(0))
    written = []
    for melody in melodies:
        bars = list(melody.bars)
        if melody.open_at and bars:
            place = bars[-1].place
            bars = bars[:-1] + [WrittenBar(place, n) for n in lengths[len(bars) - 1 :]]
        written.append(tuple(bars))
    return Timetable(
        tuple(starts for _ in melodies),
        length,
        tuple(start for start, n in zip(starts, lengths, strict=True) if n),
        tuple(written),
        tuple(length for _ in melodies),
    )


def _starts(lengths: Sequence[Fraction]) -> tuple[Fraction, ...]:
    return tuple(accumulate(lengths, initial=Fraction(0)))[:-1]


def _total(bars: Sequence[WrittenBar]) -> Fraction:
    return sum((bar.length for bar in bars), Fraction(0))
