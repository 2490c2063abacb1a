"""Time over."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.time import check_time
from chorus_handbook.warmups.running_order import MINUTE
from running_orders import BLEND, BODY, UNISON, order


def test_it_names_the_amount_and_the_longest_item() -> None:
    long = replace(UNISON, title="Long", length=5 * MINUTE)
    (found,) = check_time(order(BODY, long, BLEND, allowed=8 * MINUTE))
    assert (found.code, found.item, found.field) == ("warmup-time", None, "minutes")
    assert "10 min 30 s" in found.message and "2 min 30 s more" in found.message
    assert '"Long" (item) with 5 min' in found.message


def test_under_time_and_a_minute_over_are_never_wrong() -> None:
    for minutes in (7, 8, 30):
        assert list(check_time(order(BODY, UNISON, BLEND, allowed=minutes * MINUTE))) == []
    assert list(check_time(order(BODY, UNISON, BLEND, allowed=6 * MINUTE)))


def test_what_is_sung_if_there_is_time_gives_way() -> None:
    optional = replace(UNISON, if_time=1, length=10 * MINUTE)
    assert list(check_time(order(BODY, UNISON, optional, BLEND, allowed=8 * MINUTE))) == []
