"""Something hard to learn, first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chorus_handbook.warmups.checks.level import check_level
from running_orders import UNISON, order


@pytest.mark.parametrize(
    ("level", "status", "count"),
    [(3, "settling", 1), (3, "resting", 1), (3, "known", 0), (2, "settling", 0)],
)
def test_the_first_item_is_known_or_soon_learned(level: int, status: str, count: int) -> None:
    first = replace(UNISON, level=level, status=status)  # type: ignore[arg-type]
    assert len(list(check_level(order(first, UNISON)))) == count
    assert list(check_level(order(UNISON, first))) == []
