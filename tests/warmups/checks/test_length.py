"""How long a warm-up is usually, by its occasion (common practice)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chorus_handbook.warmups.checks.length import check_length
from chorus_handbook.warmups.running_order import MINUTE
from running_orders import ITEM, order


def found(occasion: str, planned: float, allowed: float) -> list[str]:
    item = replace(ITEM, length=round((planned - 1) * MINUTE))  # a minute goes to seats
    made = order(item, occasion=occasion, allowed=round(allowed * MINUTE))
    return [finding.message for finding in check_length(made)]


@pytest.mark.parametrize(
    ("occasion", "longest"),
    [
        *(("weekly", 20), ("seated", 20), ("online", 20)),
        *(("short", 6), ("outdoor", 8), ("concert", 30), ("children", 10)),
    ],
)
def test_more_than_is_usual(occasion: str, longest: int) -> None:
    half_as_long_again = longest * 1.5
    (message,) = found(occasion, half_as_long_again + 0.5, half_as_long_again + 0.5)
    assert f"({occasion})" in message
    assert found(occasion, half_as_long_again, half_as_long_again) == []


def test_the_smaller_of_both_times_counts() -> None:
    assert found("weekly", 12, 40) == []  # much is allowed, little is planned
    assert found("weekly", 40, 15) == []  # that is the notice of `time`
