"""Children sing from above (common practice)."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.from_above import check_from_above
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import BODY, ITEM, UNISON, order, sings

FALLING = replace(UNISON, from_above=True)


def found(*items: PlannedItem, occasion: str = "children") -> list[int | None]:
    return [finding.item for finding in check_from_above(order(*items, occasion=occasion))]


def test_one_item_from_above_is_enough() -> None:
    assert found(BODY, UNISON, UNISON) == [1]
    assert found(BODY, UNISON, FALLING) == []
    assert found(BODY, UNISON, occasion="weekly") == []


def test_nothing_below_what_is_comfortable() -> None:
    low = replace(ITEM, title="Scale", keys=(*sings(60, 67), *sings(57, 64)))
    made = order(low, replace(low, keys=sings(60, 67)), occasion="children")
    (finding,) = check_from_above(made)  # C4 is where the comfortable range of these tests begins
    assert finding.item == 0 and '"Scale" (item) takes Soprano to A3' in finding.message
    assert not [*check_from_above(replace(made, occasion="weekly"))]
    hummed = replace(low, keys=sings(57, 64, open_mouth=False))
    assert found(hummed) == []


def test_without_a_tune_there_is_nothing_to_say() -> None:
    assert found(BODY, BODY) == []
