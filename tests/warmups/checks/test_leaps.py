"""Wide leaps, early."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.leaps import check_leaps
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import BODY, TRILL, UNISON, order

LEAP = replace(UNISON, title="Octaves", leap=12)


def found(*items: PlannedItem) -> list[str]:
    return [finding.message for finding in check_leaps(order(*items))]


def test_a_leap_beyond_a_fifth_before_two_minutes() -> None:
    (message,) = found(BODY, TRILL, LEAP)
    assert '"Octaves" (item) leaps by an octave after only 1 min 30 s' in message


def test_a_fifth_or_a_later_leap_or_a_half_closed_mouth() -> None:
    assert found(BODY, replace(LEAP, leap=7)) == []
    assert found(BODY, TRILL, UNISON, LEAP) == []
    assert found(BODY, replace(LEAP, half_closed=True)) == []
    assert found(BODY, replace(LEAP, impact=2)) == []
    assert found(BODY, replace(LEAP, is_round=True)) == []  # back to its beginning, after a breath
