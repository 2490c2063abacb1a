"""A voice that comes when the warm-up is over."""

from __future__ import annotations

from typing import Any

import pytest

from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.warmups.hours import check_hours


@pytest.mark.parametrize(
    ("starts", "hours", "at", "over"),
    [
        ("19:30", "from 22:00", None, "19:50"),
        ("19:30", "from 19:50", None, "19:50"),
        ("19:30", "from 19:49", None, ""),
        ("19:30", "until 22:00", None, ""),
        ("23:50", "from 0:09", None, ""),
        ("23:50", "from 0:10", None, "0:10"),
        ("17:30", "from 18:55", "18:50", ""),
        ("17:30", "from 19:10", "18:50", "19:10"),
    ],
)
def test_who_comes_when_all_is_over(starts: str, hours: str, at: str | None, over: str) -> None:
    items: list[dict[str, Any]] = [{"exercise": "low-tide"}, {"exercise": "low-tide", "at": at}]
    about = {"title": "Night", "date": "2026-09-03", "starts": starts, "minutes": 20}
    front = WarmUpFields.model_validate(about | {"items": items, "there": {"bass": hours}})
    source = Source("2026-09-03-night", "handbook/warmups/2026-09-03-night.md", None, {})
    found = [*check_hours(Text(WARM_UP.name, source, "Night", front))]
    assert [one.code for one in found] == ["warmup-arrival"] * bool(over)
    assert all(f"but the warm-up is over by {over}." in one.message for one in found)
