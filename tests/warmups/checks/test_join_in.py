"""Where latecomers join in (common practice)."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.join_in import check_join_in
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import ARPEGGIO, TRILL, UNISON, order


def found(*items: PlannedItem, after: int | None = 2) -> list[str]:
    return [finding.message for finding in check_join_in(order(*items, join_in=after))]


def test_the_next_item_is_gentle() -> None:
    (message,) = found(TRILL, UNISON, ARPEGGIO)
    assert 'after item 2, so they begin with "Arpeggio" (item, impact 4)' in message
    assert found(TRILL, UNISON, UNISON) == []
    assert found(TRILL, UNISON, ARPEGGIO, after=None) == []


def test_the_next_item_can_be_sung_at_once() -> None:
    harder = replace(UNISON, level=2, status="settling")
    (message,) = found(TRILL, UNISON, harder)
    assert "level 2 (settling)" in message
    assert found(TRILL, UNISON, replace(harder, status="known")) == []
    assert found(TRILL, UNISON, replace(harder, level=3, status="known"))
