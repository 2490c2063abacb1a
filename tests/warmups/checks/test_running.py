"""The same item week after week."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.running import check_running
from running_orders import UNISON, order


def test_eight_weeks_are_too_many_unless_it_is_to_stay() -> None:
    for weeks, keep, count in ((7, None, 0), (8, None, 1), (8, "opener", 0), (20, "closer", 0)):
        item = replace(UNISON, weeks_running=weeks, keep=keep)  # type: ignore[arg-type]
        assert len(list(check_running(order(item)))) == count
