"""How bars fall into beats: groups as common practice has them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from chorus_handbook.engraving.beats import Span, bar_tree, beam_starts
from chorus_handbook.music.score import Meter


def top(span: Span) -> list[int]:
    """The edges of a span's parts."""
    return [part.start for part in span.parts] + [span.end]


@pytest.mark.parametrize(
    ("meter", "length", "expected"),
    [
        (Meter(4, 4), 16, [0, 8, 16]),
        (Meter(3, 4), 12, [0, 4, 8, 12]),
        (Meter(5, 4), 20, [0, 12, 20]),
        (Meter(6, 4), 24, [0, 12, 24]),
        (Meter(7, 8), 14, [0, 6, 10, 14]),
        (Meter(9, 8), 18, [0, 6, 12, 18]),
        (Meter(12, 8), 24, [0, 12, 24]),
        (Meter(0, 4), 10, [0, 4, 8, 10]),
    ],
)
def test_a_bar_falls_into_groups(meter: Meter, length: int, expected: list[int]) -> None:
    assert top(bar_tree(meter, length, 4)) == expected


def test_dotted_beats_have_three_parts() -> None:
    first = bar_tree(Meter(6, 8), 12, 4).parts[0]
    assert top(first) == [0, 2, 4, 6]
    assert first.beamed


def test_a_short_bar_keeps_the_beats_of_the_full_one() -> None:
    assert top(bar_tree(Meter(4, 4), 12, 4)) == [0, 8, 12]
    upbeat = bar_tree(Meter(4, 4), 12, 4, upbeat=True)
    assert (upbeat.start, top(upbeat)) == (4, [4, 8, 16])


def test_a_bar_longer_than_its_meter_is_counted_in_beats() -> None:
    assert top(bar_tree(Meter(2, 4), 12, 4)) == [0, 4, 8, 12]


@pytest.mark.parametrize(
    ("meter", "length", "expected"),
    [
        (Meter(4, 4), 4, ["1", "2", "3"]),
        (Meter(6, 8), 3, ["3/2"]),
        (Meter(3, 8), Fraction(3, 2), []),
        (Meter(5, 8), Fraction(5, 2), ["3/2"]),
        (Meter(2, 2), 4, ["2"]),
        (Meter(0, 4), Fraction(5, 2), ["1", "2"]),
    ],
)
def test_beams_begin_with_beats(meter: Meter, length: Fraction, expected: list[str]) -> None:
    assert beam_starts(meter, Fraction(length)) == [Fraction(moment) for moment in expected]


def test_a_span_that_cannot_be_halved_has_no_parts() -> None:
    assert Span(0, 3).parts == ()
