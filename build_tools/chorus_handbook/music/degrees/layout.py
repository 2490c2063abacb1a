"""Makes the lines of a block (lines that sound together) equally long.

With a meter, a line that is too short is silent at its end. In free meter, lines wait for each
other at every bar line. In a line that ends with three dots, the last note lasts to the end of the
block. Wrong lengths are not reported here: the lengths as written are kept for the checks in
`claims/`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from chorus_handbook.music.degrees.melody import Melody, prolonged
from chorus_handbook.music.score import Meter, WrittenBar
from chorus_handbook.music.written import Barline, Mark, Piece, WrittenNote, WrittenVoice


@dataclass(frozen=True, slots=True)
class LineLayout:
    """One line of a block.

    voice: its notes and rests, as long as the block.
    bars, length: its bars and its length (in quarters) as the author wrote them, for the checks. A
        bar whose length is not known, because of three dots or an unreadable sign, counts as
        correct.
    """

    voice: WrittenVoice
    bars: tuple[WrittenBar, ...]
    length: Fraction


def lay_out(melodies: Sequence[Melody], meter: Meter, first: Fraction) -> list[LineLayout]:
    """Make the lines of one block equally long. `first` is the length that its first bar should
    have, in quarters."""
    return _free(melodies) if meter.free else _metered(melodies, meter.bar, first)


def _metered(melodies: Sequence[Melody], bar: Fraction, first: Fraction) -> list[LineLayout]:
    """Lay out the lines of a block in a meter whose bars last `bar` quarters, the first one
    `first`."""
    written = [_bars_to_check(melody, bar, first) for melody in melodies]
    # The block is as long as its longest line. The length of a line is known if the line does not
    # end with three dots (`closed`), and certain if all its signs could be read as well.
    closed = [i for i, melody in enumerate(melodies) if not melody.open_at]
    certain = [i for i in closed if not melodies[i].unreadable]
    closed_bars = max((len(written[i]) for i in closed), default=0)
    length = max((_total(written[i]) for i in certain or closed), default=Fraction(0))
    for melody in melodies:
        if melody.open_at:
            length = max(length, _least_end(melody, bar, first, closed_bars))
    return [
        LineLayout(
            _voice(melody, _filled(melody, length)),
            written[i],
            _total(written[i]) if i in certain else length,
        )
        for i, melody in enumerate(melodies)
    ]


def _filled(melody: Melody, length: Fraction) -> list[Fraction]:
    """The lengths of the bars of a line when its last bar is extended so that the line lasts
    `length` quarters."""
    *before, last = (bar.length for bar in melody.bars)
    return [*before, max(last, length - sum(before, Fraction(0)))]


def _bars_to_check(melody: Melody, bar: Fraction, first: Fraction) -> tuple[WrittenBar, ...]:
    """The bars for the checks: bars whose length is not known count as correct."""
    unknown = set(melody.unreadable)
    if melody.open_at:  # three dots: the last bar may be of any length
        unknown.add(len(melody.bars) - 1)
    return tuple(
        WrittenBar(b.place, (bar if i else first) if i in unknown else b.length)
        for i, b in enumerate(melody.bars)
    )


def _least_end(melody: Melody, bar: Fraction, first: Fraction, closed_bars: int) -> Fraction:
    """The earliest moment at which a line with three dots can end, if no other line is longer.
    `closed_bars` is the number of bars of the longest line without three dots."""
    *before, last = (b.length for b in melody.bars)
    start = sum(before, Fraction(0))
    if len(melody.bars) <= closed_bars:  # another line says how long the last bar is
        return start + last
    full = bar if before else first
    further_bars = max(0, math.ceil((last - full) / bar))  # the last "bar" may be several
    return start + full + further_bars * bar


def _free(melodies: Sequence[Melody]) -> list[LineLayout]:
    """Lay out the lines of a block in free meter: each bar is as long as its longest line."""
    count = max(len(melody.bars) for melody in melodies)
    lengths = [
        max(melody.bars[i].length for melody in melodies if i < len(melody.bars))
        for i in range(count)
    ]
    length = sum(lengths, Fraction(0))
    lines = []
    for melody in melodies:
        bars = [WrittenBar(bar.place, bar.length) for bar in melody.bars]
        if melody.open_at:
            place = bars[-1].place
            bars = bars[:-1] + [WrittenBar(place, n) for n in lengths[len(bars) - 1 :]]
        lines.append(LineLayout(_voice(melody, lengths), tuple(bars), length))
    return lines


def _total(bars: Sequence[WrittenBar]) -> Fraction:
    return sum((bar.length for bar in bars), Fraction(0))


def _voice(melody: Melody, lengths: Sequence[Fraction]) -> WrittenVoice:
    """The line as a `WrittenVoice` whose bars have the given `lengths`."""
    own = len(melody.bars)
    bars = melody.bars + [Piece(melody.place) for _ in lengths[own:]]
    after = bars[own] if len(bars) > own else Piece(melody.place)
    after.events += melody.tail
    last = WrittenNote(melody.place, None, Fraction(0), 0)
    gliding = False  # whether `last` is gliding to the next note
    dots = False  # whether three dots prolong `last`
    for number, (bar, length) in enumerate(zip(bars, lengths, strict=True)):
        gap = length - bar.length
        for event in bar.events:
            if isinstance(event, WrittenNote):
                last, gliding = event, event.glide or (gliding and event.tied)
                dots = melody.open_at is not None and last is melody.notes[-1]
        if not gap:
            continue
        # The bar has to be longer. A rest, a gliding or a tied note continues; any other note ends,
        # and a rest follows it.
        if dots or gliding or last.tie or last.silent:
            more = prolonged(last, gap, number)
            if not dots:  # a breath comes after the note, so it moves to its new end
                more.breath, more.staggered, last.breath = last.breath, last.staggered, None
            last = more
        else:
            last = WrittenNote(melody.place, None, gap, number)
        bar.events.append(last)
    if len(bars) == own:
        bars[-1].events += after.events
    if melody.hairpin:
        _close_hairpin(melody.hairpin, bars)
    barlines = [Barline(melody.place, soft=False) for _ in (*bars, None)]
    return WrittenVoice(melody.place, barlines, bars, melody.notes)


def _close_hairpin(hairpin: Mark, bars: Sequence[Piece]) -> None:
    """End a hairpin at the end of the block. If no note follows its beginning, it is removed."""
    last = next(bar for bar in reversed(bars) if bar.events)
    if last.events[-1] is hairpin:
        last.events.pop()
    else:
        last.events.append(Mark(hairpin.place, hairpin.sign[0] + ")"))
