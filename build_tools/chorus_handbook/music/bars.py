"""Divides a voice into bars, with its repeats written out, and checks them against the meter.

A repeat sign or double line may be inside a bar: the pieces on both sides of it count as one bar
when together they fill it. The first bar may be a pickup; then the last bar may be shorter by the
pickup. In free meter, every bar line ends a bar.
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
    """The moments at which bars start, and the length of an incomplete first bar (else 0), all in
    quarters."""

    starts: tuple[Fraction, ...]
    pickup: Fraction = Fraction(0)


@dataclass(slots=True)
class _Bar:
    place: Place
    length: Fraction


def count_bars(segments: Sequence[PlayedSegment], meter: Meter) -> tuple[Bars, list[Problem]]:
    """The bars of one voice, and a problem for each that does not fill the meter."""
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
            problems.append(_wrong_length(bar, meter))
    return Bars(tuple(starts), pickup), problems


def drawn_bars(segments: Sequence[PlayedSegment], meter: Meter) -> Bars:
    """The bars of one voice in which every piece between bar lines is a bar, of whatever length."""
    lengths = [length for segment in segments if (length := segment.piece.length)]
    starts = tuple(accumulate(lengths[:-1], initial=Fraction(0))) if lengths else ()
    has_pickup = len(lengths) > 1 and not meter.free and lengths[0] < meter.bar
    return Bars(starts, lengths[0] if has_pickup else Fraction(0))


def metered_starts(length: Fraction, meter: Meter, pickup: Fraction) -> list[Fraction]:
    """The moments, in quarters, at which the bars of `length` quarters of music start, the first of
    which is as long as the `pickup` unless that is 0."""
    first = pickup or meter.bar
    return [
        Fraction(0),
        # from the second bar on; -(-a // b) rounds a / b up
        *(first + meter.bar * n for n in range(max(0, -((first - length) // meter.bar)))),
    ]


def _wrong_length(bar: _Bar, meter: Meter) -> Problem:
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
        f"{what} {_quarters(abs(missing))}: a letter alone lasts as long as L: says, C2 twice and "
        "C/2 half as long. Only the first bar may be shorter (a pickup), and then the last bar.",
    )


def _quarters(length: Fraction) -> str:
    whole, part = divmod(length, 1)
    text = f"{whole} {part}" if whole and part else str(whole or part)
    return f"{text} quarter{'s' if length > 1 else ''}"
