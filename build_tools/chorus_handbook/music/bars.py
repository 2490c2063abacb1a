"""The bars of a voice as it is sung, held against the meter.

Repeat signs and double lines may stand inside a bar: what lies on either side of them is one bar
when together they fill it. The first bar may be a pickup, and then the last may be that much short.
In free meter every bar line counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from chorus_handbook.music.score import Meter
from chorus_handbook.music.unfold import PlayedSegment
from chorus_handbook.problems import Place, Problem


@dataclass(frozen=True, slots=True)
class Bars:
    """`starts` of the bars in quarters; `pickup` is the length of an incomplete first one, else
    0."""

    starts: tuple[Fraction, ...]
    pickup: Fraction = Fraction(0)


@dataclass(slots=True)
class _Bar:
    place: Place
    length: Fraction


def count_bars(segments: Sequence[PlayedSegment], meter: Meter) -> tuple[Bars, list[Problem]]:
    """The bars of one voice, and those that do not fill the meter."""
    bars: list[_Bar] = []
    for segment in segments:
        length = segment.piece.length
        if bars and segment.joins and not meter.free and bars[-1].length + length <= meter.bar:
            bars[-1].length += length
        else:
            bars.append(_Bar(segment.piece.place, length))
    starts, now = [], Fraction(0)
    for bar in bars:
        starts.append(now)
        now += bar.length
    if meter.free or not bars:
        return Bars(tuple(starts)), []
    pickup = bars[0].length if len(bars) > 1 and bars[0].length < meter.bar else Fraction(0)
    problems = []
    for number, bar in enumerate(bars):
        wanted = pickup if pickup and number == 0 else meter.bar
        last = pickup and number == len(bars) - 1
        if bar.length != wanted and not (last and bar.length == meter.bar - pickup):
            problems.append(_misfit(bar, meter))
    return Bars(tuple(starts), pickup), problems


def drawn_bars(segments: Sequence[PlayedSegment], meter: Meter) -> Bars:
    """The bars of one voice where every piece is a bar; pieces without length are skipped."""
    lengths = [length for segment in segments if (length := segment.piece.length)]
    starts = tuple(accumulate(lengths[:-1], initial=Fraction(0))) if lengths else ()
    short = len(lengths) > 1 and not meter.free and lengths[0] < meter.bar
    return Bars(starts, lengths[0] if short else Fraction(0))


def metered_starts(length: Fraction, meter: Meter, pickup: Fraction) -> list[Fraction]:
    """When the bars of a stretch of `length` quarters begin, after a `pickup` if there is one."""
    first = pickup or meter.bar
    return [
        Fraction(0),
        *(first + meter.bar * n for n in range(max(0, -((first - length) // meter.bar)))),
    ]


def _misfit(bar: _Bar, meter: Meter) -> Problem:
    unit = Fraction(4, meter.unit)
    missing = meter.bar - bar.length
    what = "Add" if missing > 0 else "Take out"
    return Problem(
        bar.place,
        "bar-length",
        f"This bar lasts {bar.length / unit}/{meter.unit}, the meter is {meter}."
        if (bar.length / unit).denominator == 1
        else f"This bar lasts {_quarters(bar.length)}, the meter {meter} has "
        f"{_quarters(meter.bar)}.",
        f"{what} {_quarters(abs(missing))}: a plain letter lasts as long as L: says, C2 twice and "
        "C/2 half as long. Only a first bar may be shorter, and the last one for it.",
    )


def _quarters(length: Fraction) -> str:
    whole, part = divmod(length, 1)
    text = f"{whole} {part}" if whole and part else str(whole or part)
    return f"{text} quarter{'s' if length > 1 else ''}"
