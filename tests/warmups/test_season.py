"""What is worth knowing of a season (common practice); no fault of any warm-up."""

from __future__ import annotations

from datetime import date, timedelta

from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.warmups.history import history_of
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.season import (
    families_sung,
    last_day,
    left_out_early,
    nothing_new_since,
)

FIRST = date(2026, 9, 3)


def evening(week: int, *exercises: str, sung: bool = True) -> Text[WarmUpFields]:
    day = (FIRST + timedelta(weeks=week)).isoformat()
    items = [{"exercise": slug} | ({"sung": "yes"} if sung else {}) for slug in exercises]
    about = {"title": "Night", "date": day, "starts": "19:30", "minutes": 15, "items": items}
    source = Source(day, f"handbook/warmups/{day}-night.md", None, {})
    return Text(WARM_UP.name, source, "Night", WarmUpFields.model_validate(about))


#: Three evenings that only begin the log; then "eddies" is new.
SEASON = [*(evening(week, "slipway") for week in range(3)), evening(3, "slipway", "eddies")]


def early(plan: Text[WarmUpFields], *before: Text[WarmUpFields]) -> tuple[str, ...]:
    return left_out_early(plan.front, history_of(plan, [*before, plan]))


def quiet(plan: Text[WarmUpFields], *before: Text[WarmUpFields]) -> date | None:
    return nothing_new_since(plan.front, history_of(plan, [*before, plan]))


def test_what_is_left_out_before_its_third_time() -> None:
    without = evening(4, "slipway", sung=False)
    assert early(without, *SEASON) == ("eddies",)
    assert early(evening(4, "eddies", sung=False), *SEASON) == ()  # slipway has been sung enough
    again = [evening(4, "eddies"), evening(5, "eddies")]
    assert early(evening(6, "slipway", sung=False), *SEASON, *again) == ()


def test_nothing_new_for_five_weeks() -> None:
    later = [evening(week, "slipway") for week in range(4, 9)]
    assert quiet(evening(7, "slipway", sung=False), *SEASON, *later) is None  # four weeks
    new = FIRST + timedelta(weeks=3)
    assert quiet(evening(8, "slipway", sung=False), *SEASON, *later) == new
    assert quiet(evening(8, "slipway", "gangway", sung=False), *SEASON, *later) is None
    assert quiet(evening(8, "slipway", sung=False), evening(0, "slipway")) is None  # a young log


def test_families_of_the_four_weeks_that_end_with_the_log() -> None:
    end = FIRST.toordinal()
    log = Log(
        {"a": (end - 28, end - 7), "b": (end - 27, end - 7, end), "c": (end - 28,), "d": (end,)},
        (end - 28, end - 27, end - 7, end),
    )
    found = families_sung(log, {"a": {"ears"}, "b": {"ears", "body"}, "c": {"reach"}}, end)
    assert list(found) == ["body", "breath", "sound", "reach", "ears"]
    assert found["ears"] == {"b": (end - 27, end - 7, end), "a": (end - 7,)}
    assert list(found["ears"]) == ["b", "a"]
    assert found["body"] == {"b": (end - 27, end - 7, end)}
    assert found["reach"] == found["breath"] == {}
    assert families_sung(Log(), {"a": {"ears"}}, end) == {}


def test_a_log_of_a_day_to_come_does_not_move_the_weeks() -> None:
    today = FIRST.toordinal()
    log = Log({"a": (today - 20, today + 14)}, (today - 20, today + 14))
    assert last_day(log, today) == today - 20
    assert families_sung(log, {"a": {"ears"}}, today - 20)["ears"] == {"a": (today - 20,)}
    assert last_day(log, today - 21) == today + 14  # there is no other
    assert last_day(Log(), today) is None
