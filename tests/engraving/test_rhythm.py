"""Written values: golden bars (common practice of notation), and what must hold for any bar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.engraving.beats import BarEvent, Beam, Item, Piece, Tuplet, pieces_of
from chorus_handbook.engraving.rhythm import write_bar
from chorus_handbook.music.score import Meter

_VALUES = {4: "w", 2: "h", 1: "q", 0.5: "8", 0.25: "16", 0.125: "32", 0.0625: "64"}


def shown(items: Sequence[Item]) -> str:
    """A bar as text: "[8 8]" is a beam, "3:2(...)" a tuplet, "r" a rest, "~" a tie."""
    return " ".join(_shown(item) for item in items)


def _shown(item: Item) -> str:
    if isinstance(item, Beam):
        return f"[{shown(item.items)}]"
    if isinstance(item, Tuplet):
        return f"{item.number}:{item.instead_of}({shown(item.items)})"
    return ("r" if item.rest else "") + _VALUES[float(item.value)] + "." * item.dots


def bar_events(text: str) -> tuple[BarEvent, ...]:
    """Lengths in quarters, "r" before those of rests."""
    moment, found = Fraction(0), []
    for source, word in enumerate(text.split()):
        end = moment + Fraction(word.removeprefix("r"))
        found.append(BarEvent(moment, end, source, word.startswith("r")))
        moment = end
    return tuple(found)


def written(meter: str, lengths: str, upbeat: bool = False) -> str:
    """A bar of the meter ("free" or "3/4") with these lengths, as text."""
    bar = bar_events(lengths)
    sign = Meter(0, 4) if meter == "free" else Meter(*map(int, meter.split("/")))
    return shown(write_bar(bar, Fraction(0), bar[-1].end, sign, upbeat))


@pytest.mark.parametrize(
    ("meter", "lengths", "expected"),
    [
        # values that show the beat
        ("4/4", "1 1 2", "q q h"),
        ("4/4", "4", "w"),
        ("4/4", "3 1", "h. q"),
        ("4/4", "1 3", "q h."),
        ("4/4", "1 2 1", "q h q"),
        ("4/4", "3/2 5/2", "q. 8 h"),
        ("4/4", "1/2 1 1/2 2", "8 q 8 h"),
        ("4/4", "1/2 3 1/2", "8 q. q. 8"),
        ("4/4", "5/2 3/2", "h 8 q."),
        ("4/4", "3/4 1/4 1/4 3/4 1/4 1/2 1/4 1", "[8. 16] [16 8.] [16 8 16] q"),
        ("3/4", "3", "h."),
        ("3/4", "1 3/2 1/2", "q q. 8"),
        ("3/4", "1/2 5/2", "[8 8] h"),
        ("2/2", "1/2 1/2 1/2 1/2 1/2 1/2 1/2 1/2", "[8 8 8 8] [8 8 8 8]"),
        ("5/4", "5", "h. h"),
        ("7/8", "1/2 1/2 1/2 1/2 1/2 1/2 1/2", "[8 8 8] [8 8] [8 8]"),
        ("3/8", "1/2 1/2 1/2", "[8 8 8]"),
        ("4/2", "8", "w w"),
        # compound meters: the beat is dotted, and no plain note hides where it begins
        ("6/8", "3", "h."),
        ("6/8", "1/2 1/2 1/2 1/2 1/2 1/2", "[8 8 8] [8 8 8]"),
        ("6/8", "1 1/2 1 1/2", "q 8 q 8"),
        ("6/8", "2 1", "q. 8 q"),
        ("9/8", "3 3/2", "h. q."),
        ("12/8", "9/2 3/2", "h. q. q."),
        # tuplets, any share
        ("4/4", "1/3 1/3 1/3 1 2", "3:2([8 8 8]) q h"),
        ("4/4", "2/3 1/3 3", "3:2(q 8) h."),
        ("4/4", "1/6 1/6 1/6 1/6 1/6 1/6 3", "6:4([16 16 16 16 16 16]) h."),
        ("4/4", "1/3 1/6 1/6 1/3 3", "3:2([8 16 16 8]) h."),
        ("4/4", "1/5 1/5 1/5 2/5 3", "5:4([16 16 16 8]) h."),
        ("4/4", "1/7 1/7 1/7 1/7 1/7 1/7 1/7 3", "7:4([16 16 16 16 16 16 16]) h."),
        ("4/4", "1/9 8/9 3", "9:8(32 q) h."),
        ("4/4", "1/2 1/6 1/6 1/6 3", "[8 3:2(16 16 16)] h."),
        ("4/4", "2/3 2/3 2/3 2", "3:2(q q q) h"),
        ("4/4", "4/3 4/3 4/3", "3:2(h h h)"),
        ("4/4", "1/3 1 1/3 1/3 2", "3:2(8 q) 3:2([8 8 8]) h"),
        ("6/8", "3/4 3/4 3/2", "2:3([8 8]) q."),
        ("6/8", "3/8 3/8 3/8 3/8 3/2", "4:3([8 8 8 8]) q."),
        ("6/8", "3/10 3/10 3/10 3/10 3/10 3/2", "5:3([8 8 8 8 8]) q."),
        ("6/8", "3/14 3/14 3/14 3/14 3/14 3/14 3/14 3/2", "7:6([16 16 16 16 16 16 16]) q."),
        ("6/8", "1/6 1/6 1/6 1/2 1/2 3/2", "[3:2(16 16 16) 8 8] q."),
        ("4/4", "2/3 1/5 2/15 3", "15:8(q [16 16. 16]) h."),
        ("7/8", "1/5 1/2 14/5", "[5:4(16 16.) 5:4(16 16.) 8] h"),
        # rests
        ("4/4", "1 r3", "q rq rh"),
        ("4/4", "1 r2 1", "q rq rq q"),
        ("3/4", "1 r2", "q rq rq"),
        ("4/4", "r1/2 3/2 r2", "r8 q. rh"),
        ("6/8", "r3/2 3/2", "rq. q."),
        ("4/4", "1/3 r1/3 1/3 3", "3:2(8 r8 8) h."),
        ("4/4", "1/2 r1/2 1/2 1/2 2", "8 r8 [8 8] h"),
        # no meter: beats, and long notes as they come
        ("free", "20 r5 1/2 1/2 3", "w w w w w rw rq [8 8] h."),
    ],
)
def test_a_bar_reads_as_musicians_write_it(meter: str, lengths: str, expected: str) -> None:
    assert written(meter, lengths) == expected


def test_an_upbeat_counts_its_beats_from_the_bar_line() -> None:
    assert written("4/4", "1/2 5/2") == "8 q. q"
    assert written("4/4", "1/2 5/2", upbeat=True) == "[8 8] h"


def test_cuts_split_what_one_note_could_hold() -> None:
    bar = BarEvent(Fraction(0), Fraction(4), 0, False, (Fraction(3),))
    assert shown(write_bar([bar], Fraction(0), Fraction(4), Meter())) == "h. q"


def test_times_are_those_of_the_score() -> None:
    bar = [BarEvent(Fraction(8), Fraction(9), 3), BarEvent(Fraction(9), Fraction(12), 4, True)]
    first, *rests = pieces_of(write_bar(bar, Fraction(8), Fraction(12), Meter()))
    assert (first.source, first.onset, first.duration, first.rest) == (3, 8, 1, False)
    assert [(p.source, p.onset, p.rest) for p in rests] == [(4, 9, True), (4, 10, True)]


METERS = ["4/4", "3/4", "2/4", "6/8", "9/8", "12/8", "2/2", "5/4", "7/8", "3/8", "5/8", "free"]


@st.composite
def bars(draw: st.DrawFn) -> tuple[Meter, tuple[BarEvent, ...], bool]:
    """Any bar that shares of beats, prolonged or silent, can make."""
    name = draw(st.sampled_from(METERS))
    meter = Meter(0, 4) if name == "free" else Meter(*map(int, name.split("/")))
    count = int(meter.bar / meter.beat) if not meter.free else draw(st.integers(1, 6))
    upbeat = draw(st.booleans()) and not meter.free
    count = draw(st.integers(1, count)) if upbeat else count
    moment, found = Fraction(0), []
    for _ in range(count):
        shares = draw(st.integers(1, 12))
        for _ in range(shares):
            length = meter.beat / shares
            kind = draw(st.sampled_from(["note", "rest", "prolonged"]))
            if kind == "prolonged" and found:
                last = found.pop()
                found.append(BarEvent(last.onset, moment + length, last.source, last.rest))
            else:
                found.append(BarEvent(moment, moment + length, len(found), kind == "rest"))
            moment += length
    return meter, tuple(found), upbeat


def sounding(items: Sequence[Item], factor: Fraction) -> Iterator[tuple[Piece, Fraction]]:
    """Each piece with the length that its written value, dots and tuplet give it."""
    for item in items:
        if isinstance(item, Tuplet):
            yield from sounding(item.items, factor * Fraction(item.instead_of, item.number))
        elif isinstance(item, Beam):
            yield from sounding(item.items, factor)
        else:
            yield item, item.value * Fraction(3 if item.dots else 2, 2) * factor


@given(bars())
def test_what_is_written_lasts_exactly_as_long_as_what_sounds(
    case: tuple[Meter, tuple[BarEvent, ...], bool],
) -> None:
    meter, bar, upbeat = case
    items = write_bar(bar, Fraction(0), bar[-1].end, meter, upbeat)
    moment = Fraction(0)
    by_source: dict[int, Fraction] = {}
    for piece, length in sounding(items, Fraction(1)):
        assert piece.onset == moment
        assert piece.duration == length > 0
        assert piece.value.numerator & (piece.value.numerator - 1) == 0  # a whole, half, quarter …
        assert piece.value.denominator & (piece.value.denominator - 1) == 0
        assert piece.dots in (0, 1)
        assert piece.rest == bar[piece.source].rest
        by_source[piece.source] = by_source.get(piece.source, Fraction(0)) + length
        moment += length
    assert moment == bar[-1].end
    assert by_source == {s.source: s.end - s.onset for s in bar}


@given(bars())
def test_beams_hold_short_notes_of_one_beat_or_group(
    case: tuple[Meter, tuple[BarEvent, ...], bool],
) -> None:
    meter, bar, upbeat = case
    end = bar[-1].end
    skipped = meter.bar - end if upbeat else Fraction(0)
    longest = 3 * meter.beat if meter.unit >= 8 and not meter.compound else meter.beat
    for item in write_bar(bar, Fraction(0), end, meter, upbeat):
        if not isinstance(item, Beam):
            continue
        pieces = list(pieces_of([item]))
        assert len(pieces) > 1
        assert all(not p.rest and p.value < 1 for p in pieces)
        last = pieces[-1]
        assert last.onset + last.duration - pieces[0].onset <= longest
        if longest == meter.beat:
            assert (pieces[0].onset + skipped) // meter.beat == (last.onset + skipped) // meter.beat


@given(bars())
def test_a_tuplet_says_how_many_notes_it_holds(
    case: tuple[Meter, tuple[BarEvent, ...], bool],
) -> None:
    meter, bar, upbeat = case
    for item in _tuplets(write_bar(bar, Fraction(0), bar[-1].end, meter, upbeat)):
        written = sum(p.value * Fraction(3 if p.dots else 2, 2) for p in pieces_of([item]))
        unit = written / item.number
        assert unit.numerator == 1 or unit.denominator == 1
        assert unit.numerator & (unit.numerator - 1) == 0
        assert unit.denominator & (unit.denominator - 1) == 0


def _tuplets(items: Sequence[Item]) -> Iterator[Tuplet]:
    for item in items:
        if isinstance(item, Tuplet):
            yield item
        elif isinstance(item, Beam):
            yield from _tuplets(item.items)
