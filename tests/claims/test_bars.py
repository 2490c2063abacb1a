"""Bars against the meter."""

from fractions import Fraction

import pytest

from chorus_handbook.claims.bars import check_bars
from chorus_handbook.music.score import Meter


def found(make, *lines, **score):
    return list(check_bars(make.score(lines=lines, **score)))


def test_full_bars_pass(make):
    assert found(make, make.line("alto", 4, 4)) == []


def test_short_bar_is_told_in_beats(make):
    (problem,) = found(make, make.line("alto", 4, 3, 4))
    assert (problem.code, problem.place.column) == ("bar-length", 20)
    assert problem.message == "This bar has 3 beats, but 4/4 needs 4."
    assert "Add 1 beat:" in problem.hint


def test_long_bar_with_shares(make):
    (problem,) = found(make, make.line("alto", Fraction(9, 2)))
    assert problem.message == "This bar has 4 1/2 beats, but 4/4 needs 4."
    assert "Delete 1/2 beat," in problem.hint


def test_missing_bar_lines_are_recognised(make):
    (problem,) = found(make, make.line("alto", 8))
    assert problem.message == "This bar has 8 beats, but 4/4 needs 4: a bar line is missing."
    assert problem.hint == 'Write "|" after every 4 beats.'
    (problem,) = found(make, make.line("alto", 12))
    assert problem.message.endswith("needs 4: 2 bar lines are missing.")


@pytest.mark.parametrize(
    ("bars", "place", "remedy"),
    [((5, 3), "too late", "1 beat earlier"), ((2, 6), "too early", "2 beats later")],
)
def test_a_bar_line_in_the_wrong_place_is_named(make, bars, place, remedy):
    first, _ = found(make, make.line("alto", 4, *bars, 4))
    assert first.message.endswith(f"needs 4: the bar line after it comes {place}.")
    assert first.hint == f'Write the "|" {remedy}.'


def test_compound_meter_counts_dotted_quarters(make):
    line = make.line("alto", 3, Fraction(9, 2))
    (problem,) = found(make, line, meter=Meter(6, 8))
    assert problem.message == "This bar has 3 beats, but 6/8 needs 2."
    assert "dotted quarter" in problem.hint


def test_free_meter_is_not_summed(make):
    assert found(make, make.line("alto", 3, 7), meter=Meter(0)) == []


@pytest.mark.parametrize("bars", [(1, 4, 4), (1, 4, 3), (1,), (1, 3)])
def test_pickup_and_short_last_bar(make, bars):
    line = make.line("alto", *bars)
    assert found(make, line, pickup=1) == []


@pytest.mark.parametrize("bars", [(4, 4), (2, 4), (1, 3, 4), (1, 4, 2)])
def test_what_a_pickup_does_not_allow(make, bars):
    line = make.line("alto", *bars)
    (problem,) = found(make, line, pickup=1)
    assert problem.code == "bar-length"
    assert ("pickup is 1 beat" in problem.message) == (bars[0] != 1)


@pytest.mark.parametrize(
    ("first", "second", "count"),
    [((1, 4, 3), (1, 4, 3), 0), ((1, 4, 4), (1, 4, 3), 1), ((1, 4, 3), (4, 4), 0)],
)
def test_pickup_again_only_after_a_short_block(make, first, second, count):
    blocks = [[make.line("alto", *bars)] for bars in (first, second)]
    assert len(found(make, blocks=blocks, pickup=1)) == count
