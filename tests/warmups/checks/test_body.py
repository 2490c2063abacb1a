"""Body and breath first."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.body import check_body
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import BODY, HUM, TRILL, UNISON, order


def found(*items: PlannedItem, **fields: object) -> list[int | None]:
    return [finding.item for finding in check_body(order(*items, **fields))]


def test_one_of_them_comes_before_light_singing() -> None:
    assert found(TRILL, UNISON, BODY) == [1]
    assert found(BODY, UNISON) == found(HUM, UNISON) == []
    assert found(replace(BODY, families=frozenset()), UNISON) == []  # no voice: body or breath


def test_one_item_may_do_both() -> None:
    assert found(replace(UNISON, families=frozenset({"breath", "sound"}))) == []


def test_who_may_do_without() -> None:
    for occasion in ("short", "online"):
        assert found(UNISON, occasion=occasion) == []
    assert found(UNISON, has_families=False) == []
    assert found(TRILL) == []
