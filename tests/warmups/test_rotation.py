"""New, settling, known, resting; weeks running (common practice)."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.warmups.rotation import Log, weeks_running

DAY = date(2026, 11, 26).toordinal()
CASES = Path(__file__).parent.parent / "cases/rotation/statuses.json"
GOLDEN: list[dict[str, Any]] = json.loads(CASES.read_text("utf-8"))


def weeks_before(*weeks: float) -> tuple[int, ...]:
    """Days so many weeks before the day, in ascending order."""
    return tuple(sorted(DAY - round(7 * week) for week in weeks))


def days(dates: list[str]) -> tuple[int, ...]:
    return tuple(date.fromisoformat(one).toordinal() for one in dates)


@pytest.mark.parametrize("case", GOLDEN, ids=lambda case: case["about"])
def test_what_an_exercise_is_on_a_day(case: dict[str, Any]) -> None:
    """The cases that the browser's rule is held to as well (`browser/rotation.test.mjs`)."""
    log = Log({"slipway": days(case["sung"])}, days(case["log"]))
    assert log.status("slipway", *days([case["day"]])) == case["status"]


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
