"""Bars on paper: numbers, bar lines, upbeats, cuts."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from chorus_handbook.engraving.measures import measures


def test_bars_are_numbered_and_closed(build: Any) -> None:
    score = build.score([build.part("alto", build.scale(*range(8)))])
    found = measures(score, [], {})
    assert [(m.onset, m.end, m.number, m.bar_line) for m in found] == [
        (0, 4, 1, "single"),
        (4, 8, 2, "end"),
    ]


def test_an_upbeat_is_not_counted(build: Any) -> None:
    score = build.score([build.part("alto", build.scale(*range(8)))], pickup=1)
    found = measures(score, [], {})
    assert [(m.length, m.number, m.upbeat) for m in found] == [
        (1, None, True),
        (4, 1, False),
        (3, 2, False),
    ]


def test_a_block_that_ended_short_is_followed_by_an_upbeat(build: Any) -> None:
    score = build.score(
        [build.part("alto", build.scale(*range(8)))], pickup=1, bars=[1, 3, 1, 3], blocks=[0, 4]
    )
    assert [(m.number, m.upbeat, m.bar_line) for m in measures(score, [], {})] == [
        (None, True, "single"),
        (1, False, "dbl"),
        (None, True, "single"),
        (2, False, "end"),
    ]


def test_blocks_are_parted_by_a_double_bar(build: Any) -> None:
    score = build.score([build.part("alto", build.scale(*range(12)))], blocks=[0, 4, 8])
    assert [m.bar_line for m in measures(score, [], {})] == ["dbl", "dbl", "end"]


def test_free_meter_has_no_numbers(build: Any) -> None:
    score = build.score([build.part("alto", build.scale(*range(5)))], meter="free", bars=[2, 3])
    assert [(m.length, m.number) for m in measures(score, [], {})] == [(2, None), (3, None)]


def test_a_bar_is_cut_into_pieces_of_about_one_length(build: Any) -> None:
    score = build.score([build.part("alto", build.scale(*range(12)))], meter="free")
    found = measures(score, [part.events for part in score.parts], {0: Fraction(5)})
    assert [m.length for m in found] == [4, 4, 4]
    assert [m.bar_line for m in found] == ["invis", "invis", "end"]
    assert [m.continues for m in found] == [False, True, True]


def test_a_cut_leaves_long_notes_whole(build: Any) -> None:
    events = [build.sung(0, 3), build.sung(1, 2), build.sung(2, 3)]
    score = build.score([build.part("alto", events)], meter="free")
    found = measures(score, [part.events for part in score.parts], {0: Fraction(5)})
    assert [m.onset for m in found] == [0, 3]


def test_only_the_bars_named_are_cut(build: Any) -> None:
    score = build.score([build.part("alto", build.scale(*range(12)))])
    found = measures(score, [part.events for part in score.parts], {1: Fraction(2)})
    assert [(m.bar, m.length, m.number) for m in found] == [
        (0, 4, 1),
        (1, 2, 2),
        (1, 2, None),
        (2, 4, 3),
    ]
    assert measures(score, [], {0: Fraction(1, 8)})[0].length == 1  # never inside a beat
