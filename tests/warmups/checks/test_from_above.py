"""Children sing from above (common practice)."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.from_above import check_from_above
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import BODY, UNISON, order

FALLING = replace(UNISON, from_above=True)


def found(*items: PlannedItem, occasion: str = "children") -> list[int | None]:
    return [finding.item for finding in check_from_above(order(*items, occasion=occasion))]


def test_one_item_from_above_is_enough() -> None:
    assert found(BODY, UNISON, UNISON) == [1]
    assert found(BODY, UNISON, FALLING) == []
    assert found(BODY, UNISON, occasion="weekly") == []


def test_without_a_tune_there_is_nothing_to_say() -> None:
    assert found(BODY, BODY) == []
