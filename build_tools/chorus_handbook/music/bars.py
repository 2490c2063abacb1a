"""Divides a voice, whose repeats have been written out, into bars and checks them against the
meter.

A voice arrives as segments: each is a piece of music between two bar lines, as it is sung once. A
repeat sign or double line may be inside a bar, so two segments count as one bar when together they
fill it. The first bar may be a pickup; then the last bar may be shorter by the pickup. In free
meter, every bar line ends a bar.
"""

from __future__ import annotations

import math
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
    """A bar that is being filled: where it begins in the file, and its length in quarters so
    far."""

    place: Place
    length: Fraction


def count_bars(segments: Sequence[PlayedSegment], meter: Meter) -> tuple[Bars, list[Problem]]:
    """Find the bars of one voice. Returns them, and a problem for each bar that does not fill the
    meter; a pickup, and a last bar that is shorter by the pickup, need not."""
    bars: list[_Bar] = []
    for segment in segments:
        length = segment.piece.length
        # `joins` is set when the line before a segment may be inside a bar, as a repeat sign may.
        if bars and segment.joins and not meter.free and bars[-1].length + length <= meter.bar:
            bars[-1].length += length
        else:
            bars.append(_Bar(segment.piece.place, length))
    found = _bars([bar.length for bar in bars], meter)
    if meter.free:
        return found, []
    problems = []
    for number, bar in enumerate(bars):
        expected = found.pickup if found.pickup and number == 0 else meter.bar
        last = found.pickup and number == len(bars) - 1
        if bar.length != expected and not (last and bar.length == meter.bar - found.pickup):
            problems.append(_wrong_length(bar, meter))
    return found, problems


def drawn_bars(segments: Sequence[PlayedSegment], meter: Meter) -> Bars:
    """The bars of one voice when every piece between bar lines is a bar, of whatever length."""
    return _bars([length for segment in segments if (length := segment.piece.length)], meter)


def _bars(lengths: Sequence[Fraction], meter: Meter) -> Bars:
    """Bars of these lengths, one after another. If the first is shorter than the meter's, it is a
    pickup."""
    starts = tuple(accumulate(lengths[:-1], initial=Fraction(0))) if lengths else ()
    has_pickup = len(lengths) > 1 and not meter.free and lengths[0] < meter.bar
    return Bars(starts, lengths[0] if has_pickup else Fraction(0))


def metered_starts(length: Fraction, meter: Meter, pickup: Fraction) -> list[Fraction]:
    """The moments at which bars start in `length` quarters of music that follow the meter. The
    first bar lasts as long as the `pickup`, or is a full one if that is 0. All are in quarters."""
    first = pickup or meter.bar
    further = max(0, math.ceil((length - first) / meter.bar))  # how many bars follow the first
    return [Fraction(0), *(first + meter.bar * n for n in range(further))]


def _wrong_length(bar: _Bar, meter: Meter) -> Problem:
    """The problem of a bar that does not fill the meter. Its hint speaks of ABC, the only notation
    whose bars are checked here."""
    units = bar.length / Fraction(4, meter.unit)
    missing = meter.bar - bar.length
    what = "Add" if missing > 0 else "Take out"
    return Problem(
        bar.place,
        "bar-length",
        f"This bar lasts {units}/{meter.unit}, but the meter is {meter}."
        if units.denominator == 1
        else f"This bar lasts {_quarters(bar.length)}, but in the meter {meter} a bar lasts "
        f"{_quarters(meter.bar)}.",
        f'{what} {_quarters(abs(missing))}. The field "L:" says how long a letter such as "C" '
        'lasts; "C2" lasts twice and "C/2" half as long. Only the first bar may be shorter (a '
        "pickup), and then the last bar.",
    )


def _quarters(length: Fraction) -> str:
    """A length in words, such as "1 quarter" or "2 1/2 quarters"."""
    whole, part = divmod(length, 1)
    text = f"{whole} {part}" if whole and part else str(whole or part)
    return f"{text} quarter{'s' if length > 1 else ''}"
