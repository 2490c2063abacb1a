"""New, settling, known, resting; weeks running (common practice)."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from chorus_handbook.warmups.rotation import Log, Status, status, weeks_running

DAY = date(2026, 11, 26).toordinal()


def weeks_before(*weeks: float) -> tuple[int, ...]:
    """Days so many weeks before the day, in ascending order."""
    return tuple(sorted(DAY - round(7 * week) for week in weeks))


@pytest.mark.parametrize(
    ("weeks", "expected"),
    [
        ((), "new"),
        ((1,), "settling"),
        ((1, 2), "settling"),
        ((1, 2, 3), "known"),
        ((1, 2, 12), "known"),
        ((1, 2, 12.2), "settling"),
        ((7.8,), "settling"),
        ((8,), "resting"),
        ((8, 9, 10), "resting"),
        ((30, 31, 32, 33), "resting"),
        ((1, 30, 31), "settling"),
    ],
)
def test_what_an_exercise_is_on_a_day(weeks: tuple[float, ...], expected: Status) -> None:
    assert status(weeks_before(*weeks), DAY) == expected


def test_what_is_sung_on_that_day_or_later_does_not_count() -> None:
    log = Log({"slipway": (DAY, DAY + 7)}, (DAY - 21, DAY - 14, DAY - 7, DAY, DAY + 7))
    assert log.status("slipway", DAY) == "new"
    assert log.status("slipway", DAY + 1) == "settling"


def test_a_young_log_cannot_tell_what_is_new() -> None:
    log = Log({}, (DAY - 14, DAY - 7, DAY))
    assert [log.status("slipway", day) for day in (DAY, DAY + 1)] == ["settling", "new"]


@pytest.mark.parametrize(
    ("weeks", "count"),
    [
        ((), 0),
        ((1,), 1),
        ((2,), 0),
        ((1, 2, 3), 3),
        ((1, 2, 4), 2),
        (range(1, 9), 8),
        ((0.9, 2, 3), 3),
        ((1, 1, 2), 2),
    ],
)
def test_weeks_running(weeks: tuple[float, ...], count: int) -> None:
    assert weeks_running(weeks_before(*weeks), DAY) == count


def test_weeks_are_those_of_the_calendar() -> None:
    """Against `timedelta`: eight Thursdays in a row, over the end of a year."""
    last = date(2027, 1, 21)
    thursdays = [last - timedelta(weeks=week) for week in range(1, 9)]
    assert {day.weekday() for day in thursdays} == {last.weekday()}
    assert weeks_running(tuple(d.toordinal() for d in reversed(thursdays)), last.toordinal()) == 8
