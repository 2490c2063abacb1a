"""The clock of a warm-up; its arithmetic against the standard library's."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chorus_handbook.warmups.clock import (
    BETWEEN,
    CHANGE,
    END,
    cut_order,
    length,
    over,
    time_of_day,
    timetable,
    total,
)
from chorus_handbook.warmups.running_order import MINUTE
from running_orders import ITEM


@given(st.integers(0, 24 * 60 - 1), st.integers(0, 3 * 24 * 60 * MINUTE))
def test_times_of_day_are_those_of_datetime_across_midnight(begins: int, after: int) -> None:
    start = datetime(2026, 12, 31) + timedelta(minutes=begins)
    moment = start + timedelta(seconds=after / 2)
    assert time_of_day(begins, after) == f"{moment.hour}:{moment.minute:02}"


def test_the_last_minutes_of_a_day() -> None:
    assert [time_of_day(23 * 60 + 55, n * MINUTE) for n in (4, 5, 12)] == ["23:59", "0:00", "0:07"]


@pytest.mark.parametrize(
    ("status", "half_seconds"),
    [("new", 360), ("known", 180), ("settling", 270), ("resting", 270)],
)
def test_which_time_counts(status: str, half_seconds: int) -> None:
    assert length(360, 180, status) == half_seconds  # type: ignore[arg-type]


def test_changes_of_formation_take_longer() -> None:
    """15 s between items, 45 s where the formation changes, 60 s at the end (common practice)."""
    circle, rows = (replace(ITEM, formation=name) for name in ("circle", "rows"))
    slots = timetable([circle, ITEM, circle, rows, rows])
    assert [slot.moves for slot in slots] == [False, False, False, True, False]
    gaps = [after.begins - before.ends for before, after in pairwise(slots)]
    assert gaps == [30, 30, 90, 30] == [BETWEEN, BETWEEN, CHANGE, BETWEEN]
    assert total([circle, rows]) == 2 * ITEM.length + 90 + 120
    assert END == 120 and total([]) == 0


@pytest.mark.parametrize(
    ("minutes", "limit", "expected"),
    [(11, 10, False), (11.5, 10, True), (6.5, 5, True), (5.9, 5, False), (21.5, 20, False)],
)
def test_over_is_more_than_a_tenth_and_more_than_a_minute(
    minutes: float, limit: int, expected: bool
) -> None:
    assert over(round(minutes * MINUTE), limit * MINUTE) is expected


def test_the_order_in_which_items_are_left_out() -> None:
    items = [ITEM, replace(ITEM, if_time=2), ITEM, replace(ITEM, if_time=1)]
    assert cut_order(items) == [3, 1]


def test_of_two_items_with_one_number_the_later_is_left_out_first() -> None:
    assert cut_order([replace(ITEM, if_time=1), replace(ITEM, if_time=1)]) == [1, 0]


def test_a_later_block_begins_at_its_own_time_and_the_wait_is_not_counted() -> None:
    again = replace(ITEM, at=40 * MINUTE)
    slots = timetable([ITEM, ITEM, again, ITEM])
    assert [slot.begins for slot in slots[2:]] == [40 * MINUTE, 42 * MINUTE + BETWEEN]
    assert total([ITEM, ITEM, again, ITEM]) == 8 * MINUTE + 2 * BETWEEN + END
    late = timetable([ITEM, replace(ITEM, at=MINUTE)])
    rows = replace(ITEM, formation="rows")
    assert not timetable([rows, replace(again, formation="arc")])[1].moves
    assert late[1].begins == 2 * MINUTE + BETWEEN  # the first block is still being sung
