"""Turns durations into written notes: with ties, dots, tuplets, beams and rests.

The input is notes and rests with exact durations, without pitches. The output is notes as musicians
expect them (common practice): split so that the beats stay visible, with tuplets found from the
durations, and short notes beamed by the beat.

`bar_tree` divides a bar into spans: beats, and their halves and thirds down to the smallest. First
the spans are found that need a tuplet. Then each note is split, from large spans to small ones,
until every piece is one note value. Beams come last. All of this counts in *ticks*, a unit so small
that all times in the bar are whole numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from chorus_handbook.engraving.beats import (
    BarEvent,
    Beam,
    Item,
    Piece,
    Span,
    Tuplet,
    bar_tree,
    beamed,
    equal_parts,
)
from chorus_handbook.music.score import Meter

#: Into how many parts a quarter can be divided outside tuplets: 256th notes.
_FINEST = 64
#: The longest undotted note, in quarters. Longer ones are tied: few singers read breves.
_LONGEST = 4
#: The greatest number a tuplet over several beats may have.
_WIDEST_TUPLET = 13


def write_bar(
    events: Sequence[BarEvent],
    start: Fraction,
    end: Fraction,
    meter: Meter,
    upbeat: bool = False,
) -> tuple[Item, ...]:
    """The written notes, rests, tuplets and beams of the bar from `start` to `end` (in quarters),
    which the events fill without gaps.

    `upbeat`: the bar lacks its beginning, so that its beats count from its end.
    """
    times = {start, end, *(s.onset for s in events), *(s.end for s in events)}
    times.update(cut for s in events for cut in s.cuts)
    # So many ticks in a quarter that all times and divisions are whole numbers.
    quarter = _FINEST * math.lcm(*(t.denominator for t in times), 2 * meter.beat.denominator)
    tree = bar_tree(meter, int((end - start) * quarter), quarter, upbeat)
    bar = _Bar(start, tree.start, quarter)
    runs = []
    for event in events:
        edges = [event.onset, *(c for c in event.cuts if event.onset < c < event.end)]
        for left, right in zip(edges, [*edges[1:], event.end], strict=True):
            runs.append(_Run(bar.ticks(left), bar.ticks(right), event.source, event.rest))
    return beamed(bar.written(runs, tree), [bar.moment(s.end) for s in tree.beam_spans()])


@dataclass(frozen=True, slots=True)
class _Run:
    """A note or rest, or a part of one, from tick `start` to tick `end`; `source` is the index of
    its event."""

    start: int
    end: int
    source: int
    rest: bool

    def within(self, start: int, end: int) -> _Run:
        return _Run(max(self.start, start), min(self.end, end), self.source, self.rest)


@dataclass(frozen=True, slots=True)
class _Bar:
    """Converts moments of one bar from quarters to ticks and back. `origin` is the tick of the
    bar's `start`; `quarter` is the number of ticks in a quarter note."""

    start: Fraction
    origin: int
    quarter: int

    def ticks(self, moment: Fraction) -> int:
        return self.origin + int((moment - self.start) * self.quarter)

    def moment(self, ticks: Fraction | int) -> Fraction:
        return self.start + Fraction(ticks - self.origin) / self.quarter

    def written(self, runs: list[_Run], tree: Span) -> list[Piece | Tuplet]:
        """Notes and tuplets in order, not yet beamed."""
        written: list[Piece | Tuplet] = []
        edge = tree.start
        for span in _tuplet_spans(tree, runs, self.quarter):
            written += self._plain(runs, tree, edge, span.start)
            written.append(self._tuplet(runs, span))
            edge = span.end
        return written + self._plain(runs, tree, edge, tree.end)

    def _plain(self, runs: list[_Run], tree: Span, start: int, end: int) -> list[Piece | Tuplet]:
        """The notes and rests between two ticks that belong to no tuplet."""
        written: list[Piece | Tuplet] = []
        for run in (r.within(start, end) for r in runs):
            if run.start >= run.end:
                continue
            pulse = _Pulse(self.quarter, _LONGEST * self.quarter)
            for left, right in _values(tree, run.start, run.end, run.rest, pulse):
                length = Fraction(right - left, self.quarter)
                onset = self.moment(left)
                written.append(Piece(run.source, onset, length, *_dotted(length), run.rest))
        return written

    def _tuplet(self, runs: list[_Run], span: Span) -> Tuplet:
        """One tuplet over the whole span. Inside, time is counted so that each of its equal parts
        is `span.length` ticks, whatever their number."""
        inner = [r.within(span.start, span.end) for r in runs]
        inner = [r for r in inner if r.start < r.end]
        number, instead_of = _ratio(span, inner, self.quarter)
        unit = Fraction(span.length, instead_of * self.quarter)
        tree = equal_parts(number, span.length)
        pulse = _Pulse(span.length, int(_LONGEST / unit) * span.length)
        items: list[Piece | Beam] = []
        for run in inner:
            left, right = ((t - span.start) * number for t in (run.start, run.end))
            for low, high in _values(tree, left, right, run.rest, pulse):
                onset = self.moment(span.start + Fraction(low, number))
                duration = Fraction(high - low, number * self.quarter)
                written = Fraction(high - low, span.length) * unit
                items.append(Piece(run.source, onset, duration, *_dotted(written), run.rest))
        return Tuplet(number, instead_of, tuple(items))


def _power_of_two(number: int) -> bool:
    return number & (number - 1) == 0


def _odd_part(number: int) -> int:
    """The largest odd divisor of a number."""
    return number // (number & -number)


def _division(span: Span, edges: Sequence[int]) -> int:
    """The fewest equal parts into which the span can be cut such that all edges fall on cuts."""
    return span.length // math.gcd(span.length, *(e - span.start for e in edges))


def _tuplet_spans(span: Span, runs: Sequence[_Run], quarter: int) -> list[Span]:
    """The spans that need a tuplet, in order: the longest in which the beats stay visible."""
    edges = [r.start for r in runs if span.start < r.start < span.end]
    if not edges or _is_tuplet(span, edges, runs, quarter):
        return [span] if edges else []
    if span.beat and _is_plain(span, edges, quarter):
        return []
    return [s for part in span.parts for s in _tuplet_spans(part, runs, quarter)]


def _is_plain(span: Span, edges: Sequence[int], quarter: int) -> bool:
    """Whether all edges fall on divisions of a quarter by 2, 4, 8 and so on."""
    return all(_power_of_two(quarter // math.gcd(quarter, e - span.start)) for e in edges)


def _is_tuplet(span: Span, edges: Sequence[int], runs: Sequence[_Run], quarter: int) -> bool:
    """Whether the notes that begin at `edges` inside a span are written as one tuplet."""
    division = _division(span, edges)
    pulses = {part.start for part in span.parts[1:]}
    if span.beat and len(pulses) == 2 and _power_of_two(division):
        return True  # two or four in the time of a dotted beat
    if _is_plain(span, edges, quarter):
        return False
    if span.beat:
        if not pulses or not pulses <= set(edges):
            return True
        inner = [_division(p, [e for e in edges if p.start < e < p.end]) for p in span.parts]
        return len(pulses) == 1 and len({_odd_part(d) for d in inner}) == 1
    one_note_a_part = division % 2 == 1 and division <= _WIDEST_TUPLET and not span.even
    return one_note_a_part and not pulses & set(edges) and not _crossed(span, runs)


def _crossed(span: Span, runs: Sequence[_Run]) -> bool:
    """Whether a note or rest crosses an end of the span."""
    return any(r.start < edge < r.end for r in runs for edge in (span.start, span.end))


def _ratio(span: Span, runs: Sequence[_Run], quarter: int) -> tuple[int, int]:
    """The number of a tuplet and the number it stands in for: 3 for 2, 5 for 4; in a dotted beat
    2 for 3, 4 for 3, 7 for 6."""
    division = _division(span, [r.start for r in runs[1:]])
    number = _odd_part(division)
    if number == 1 or all((r.end - r.start) * number < span.length for r in runs):
        number = division
    instead_of = _odd_part(span.length // math.gcd(span.length, quarter))
    while instead_of * 2 <= number:
        instead_of *= 2
    return number, instead_of


def _dotted(length: Fraction) -> tuple[Fraction, int]:
    """The undotted value and the dots of a length that one note can have."""
    dotted = length.numerator % 3 == 0
    return (length * 2 / 3, 1) if dotted else (length, 0)


@dataclass(frozen=True, slots=True)
class _Pulse:
    """Lengths in ticks: of the note value in which notes are counted (a quarter, or the unit of a
    tuplet), and of the longest undotted note."""

    ticks: int
    longest: int

    def can_last(self, length: int) -> bool:
        """Whether one note, plain or with one dot, can last `length` ticks."""
        shared = math.gcd(length, self.ticks)
        top, bottom = length // shared, self.ticks // shared
        dotted = top % 3 == 0
        return (
            _power_of_two(bottom)
            and _power_of_two(top // 3 if dotted else top)
            and length * 2 <= self.longest * (3 if dotted else 2)
        )


def _values(
    span: Span, start: int, end: int, rest: bool, pulse: _Pulse
) -> Iterator[tuple[int, int]]:
    """Divide a note or rest from `start` to `end` into written values; yields the first and last
    tick of each.

    A value is written as one if it fills its span, begins or ends with it, or fills the middle half
    of it (a syncopation). Otherwise it is split where the span's parts meet, and each piece is
    treated in the same way inside its part.
    """
    if _fits(span, start, end, rest, pulse) or not span.parts:
        yield start, end
        return
    parts = [p for p in span.parts if p.start < end and p.end > start]
    while parts:
        first = parts[0]
        whole = [p for p in parts if start <= first.start and p.end <= end]
        run = next(
            (n for n in range(len(whole), 1, -1) if _run_fits(span, whole[:n], rest, pulse)), 0
        )
        if run:
            yield first.start, whole[run - 1].end
        else:
            yield from _values(first, max(start, first.start), min(end, first.end), rest, pulse)
        parts = parts[max(run, 1) :]


def _fits(span: Span, start: int, end: int, rest: bool, pulse: _Pulse) -> bool:
    """Whether a note or rest from `start` to `end` inside a span can be written as one value."""
    if not pulse.can_last(end - start):
        return False
    if (start, end) == (span.start, span.end):
        return True
    edges = {span.end, *(p.start for p in span.parts)}
    if rest or (span.dotted and not {start, end} <= edges):
        return False
    if len(span.parts) > 2:
        return start in edges or end == span.end
    middle = start - span.start == span.end - end and 2 * (end - start) == span.length
    return middle or start == span.start or end == span.end


def _run_fits(span: Span, parts: Sequence[Span], rest: bool, pulse: _Pulse) -> bool:
    """Whether neighbouring parts of a span can be written as one value."""
    if (span.even and len(parts) > _LONGEST) or (
        rest and not (span.even and _power_of_two(len(parts)))
    ):
        return False
    return pulse.can_last(parts[-1].end - parts[0].start)
