"""Divides bars into beats, and groups short notes under beams.

A `Span` is a bar, a group of beats, a beat or a part of a beat. Its parts are the next smaller
pulses, so that the spans of a bar form a tree. Spans are measured in *ticks*: whole fractions of a
quarter, chosen so small that all lengths are whole numbers. Spans decide where long notes are split
and which short notes share a beam. Grouping is common practice: four beats as two and two, six as
three and three, five as three and two; compound meters by dotted beats of three parts each. Short
notes that follow one another inside a beat share a beam; rests break it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import groupby

from chorus_handbook.music.score import Meter


@dataclass(frozen=True, slots=True)
class BarEvent:
    """A note or rest inside one bar. Times are in quarters.

    source: identifies it for the caller; each `Piece` that is made from it has the same source.
    cuts: moments at which it must be split even if one written note could have its length.
    """

    onset: Fraction
    end: Fraction
    source: int
    rest: bool = False
    cuts: tuple[Fraction, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """One written note or rest.

    source: that of the `BarEvent` from which it is made.
    onset, duration: when and how long it sounds, in quarters. Inside a tuplet, the duration differs
        from the written value.
    value: its written value without dots, in quarters (4 is a whole note).
    dots: the number of its dots.
    """

    source: int
    onset: Fraction
    duration: Fraction
    value: Fraction
    dots: int
    rest: bool


@dataclass(frozen=True, slots=True)
class Beam:
    """Notes under one beam."""

    items: tuple[Piece | Tuplet, ...]


@dataclass(frozen=True, slots=True)
class Tuplet:
    """`number` notes in the time of `instead_of`."""

    number: int
    instead_of: int
    items: tuple[Piece | Beam, ...]


Item = Piece | Beam | Tuplet


def pieces_of(items: Sequence[Item]) -> Iterator[Piece]:
    """The written notes and rests in order, including those inside beams and tuplets."""
    for item in items:
        if isinstance(item, Piece):
            yield item
        else:
            yield from pieces_of(item.items)


@dataclass(frozen=True)
class Span:
    """A stretch of a bar, in ticks from `start` to `end`.

    cells: its parts if they are not simply two halves; else empty. `parts` returns them either way.
    beamed: whether short notes inside it share a beam.
    beat: whether it is one beat or a part of one.
    dotted: whether its parts are dotted beats; then a note that is not split must begin and end on
        their edges.
    even: whether neighbouring parts may be joined into one rest, as in a bar without a meter.
    """

    start: int
    end: int
    cells: tuple[Span, ...] = ()
    beamed: bool = False
    beat: bool = True
    dotted: bool = False
    even: bool = False

    @property
    def length(self) -> int:
        return self.end - self.start

    @cached_property
    def parts(self) -> tuple[Span, ...]:
        """The next finer pulses; empty when the span cannot be halved in whole ticks."""
        if self.cells or self.length % 2:
            return self.cells
        middle = self.start + self.length // 2
        return (Span(self.start, middle), Span(middle, self.end))

    def within(self, start: int, end: int) -> Span:
        """The part of this span between two ticks; its inner pulses stay where they are."""
        start, end = max(start, self.start), min(end, self.end)
        if (start, end) == (self.start, self.end):
            return self
        inside = tuple(p.within(start, end) for p in self.parts if p.start < end and p.end > start)
        if len(inside) == 1 and not self.beamed:
            return inside[0]
        return Span(start, end, inside, self.beamed, self.beat, self.dotted, self.even)

    def beam_spans(self) -> list[Span]:
        """The spans inside this one whose short notes share a beam."""
        return [self] if self.beamed else [s for part in self.cells for s in part.beam_spans()]


def equal_parts(count: int, unit: int, start: int = 0, beamed: bool = False) -> Span:
    """A span of `count` parts of `unit` ticks each, which begins at the tick `start`."""
    edges = range(start, start + count * unit, unit)
    return Span(start, start + count * unit, tuple(Span(s, s + unit) for s in edges), beamed)


@lru_cache(maxsize=256)
def bar_tree(meter: Meter, length: int, quarter: int, upbeat: bool = False) -> Span:
    """A bar of `length` ticks as a tree of spans; `quarter` is the number of ticks in a quarter
    note.

    A bar shorter than its meter keeps the pulses of the full bar: those of its end when it is an
    upbeat (the tree then starts at a tick above 0), else those of its start.
    """
    beat = int(meter.beat * quarter)
    full = int(meter.bar * quarter)
    if meter.free or length > full:
        starts = range(0, length, beat)
        cells = tuple(Span(s, min(s + beat, length), beamed=True) for s in starts)
        return Span(0, length, cells, beat=False, even=True)
    by_group = meter.unit >= 8 and not meter.compound
    beats = [
        equal_parts(3, beat // 3, s, True)
        if meter.compound
        else Span(s, s + beat, (), not by_group)
        for s in range(0, full, beat)
    ]
    groups: list[Span] = []
    for size in _group_sizes(len(beats), by_group):
        group, beats = tuple(beats[:size]), beats[size:]
        start, end = group[0].start, group[-1].end
        groups.append(
            Span(start, end, group, by_group, False, meter.compound) if size > 1 else group[0]
        )
    tree = Span(0, full, tuple(groups), False, False, meter.compound) if groups[1:] else groups[0]
    skipped = full - length if upbeat else 0
    return tree.within(skipped, skipped + length)


def beam_starts(meter: Meter, length: Fraction, upbeat: bool = False) -> list[Fraction]:
    """The moments inside a bar of `length` quarters, from its start, at which a new beam begins."""
    quarter = 2 * math.lcm(length.denominator, meter.beat.denominator)
    tree = bar_tree(meter, int(length * quarter), quarter, upbeat)
    return [Fraction(span.start - tree.start, quarter) for span in tree.beam_spans()[1:]]


def _group_sizes(beats: int, by_group: bool) -> list[int]:
    """The number of beats in each group of a bar, in order. `by_group` says whether the notes of a
    whole group, not only those of a beat, share a beam."""
    if beats <= 3:
        return [beats] if by_group else [1] * beats
    if beats % 3 == 0:
        return [3] * (beats // 3)
    return [3] * (beats % 2) + [2] * ((beats - 3 * (beats % 2)) // 2)


def beamed(items: Sequence[Piece | Tuplet], edges: Sequence[Fraction]) -> tuple[Item, ...]:
    """The written content of a bar with its beams. No beam reaches over one of the `edges`: the
    moments, in order, at which beams end; the last of them is the end of the bar."""
    done: list[Item] = []
    group: list[Piece | Tuplet] = []  # the notes that share the present beam
    place = 0  # the index of the next edge

    def close() -> None:
        """End the beam of the notes in `group`; a single note has none."""
        if len(group) > 1:
            done.append(Beam(tuple(group)))
        else:
            done.extend(_inside(item) for item in group)
        group.clear()

    for item in items:
        leaves = list(pieces_of([item]))
        onset, end = leaves[0].onset, leaves[-1].onset + leaves[-1].duration
        if place < len(edges) and onset >= edges[place]:
            close()
        while place < len(edges) and onset >= edges[place]:
            place += 1
        if all(_short(leaf) for leaf in leaves) and place < len(edges) and end <= edges[place]:
            group.append(item)
        else:
            close()
            done.append(_inside(item))
    close()
    return tuple(done)


def _short(piece: Piece) -> bool:
    """Whether a piece is a note that can be under a beam: an eighth or shorter."""
    return not piece.rest and piece.value < 1


def _inside(item: Piece | Tuplet) -> Piece | Tuplet:
    """An item that shares no beam with its neighbours: a note or rest as it is, a tuplet with beams
    over its own short notes."""
    if isinstance(item, Piece):
        return item
    grouped: list[Piece | Beam] = []
    for short, run in groupby(pieces_of([item]), _short):
        notes = tuple(run)
        grouped += [Beam(notes)] if short and len(notes) > 1 else notes
    return Tuplet(item.number, item.instead_of, tuple(grouped))
