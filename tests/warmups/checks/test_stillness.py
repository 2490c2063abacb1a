"""Children move and are still by turns (common practice)."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.stillness import check_stillness
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import UNISON, order

CLAP = replace(UNISON, title="Clap", active=True)


def found(*items: PlannedItem, occasion: str = "children") -> list[int | None]:
    return [finding.item for finding in check_stillness(order(*items, occasion=occasion))]


def test_the_third_still_item_in_a_row() -> None:
    assert found(UNISON, UNISON, UNISON, UNISON) == [2]
    assert found(UNISON, UNISON, CLAP, UNISON, UNISON) == []
    assert found(CLAP, CLAP, CLAP, CLAP) == []
    assert found(UNISON, UNISON, UNISON, occasion="weekly") == []


def test_walking_to_another_place_moves_too() -> None:
    circle = replace(UNISON, formation="circle")
    rows = replace(UNISON, formation="rows")
    assert found(circle, circle, circle) == [2]
    assert found(circle, circle, rows, rows) == []


def test_a_variation_may_be_a_movement() -> None:
    assert found(UNISON, UNISON, replace(UNISON, comment="Step on every beat.")) == []
