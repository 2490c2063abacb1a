"""New items."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.new import check_new
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import UNISON, order

NEW = replace(UNISON, status="new")


def found(*items: PlannedItem, **fields: object) -> list[tuple[int | None, str]]:
    return [(one.item, one.message) for one in check_new(order(*items, **fields))]


def test_one_new_item_is_enough() -> None:
    assert found(UNISON, NEW) == []
    ferry = replace(NEW, slug="quick-ferry", title="Fast jig")
    chord = replace(NEW, slug="long-chord", title="Long chord")
    (second, third) = found(ferry, UNISON, chord, NEW)
    assert second == (
        2,
        '"Long chord" is new, and so is "Fast jig" (quick-ferry) before it; '
        "one new item in a warm-up is enough.",
    )
    assert 'so are "Fast jig" (quick-ferry) and "Long chord" before it; one new item' in third[1]


def test_what_takes_weeks_is_not_begun_in_a_warm_up() -> None:
    ((place, message),) = found(UNISON, replace(NEW, level=3))
    assert place == 1 and "level 3" in message


def test_nothing_is_new_on_a_concert_day() -> None:
    assert [place for place, _ in found(NEW, NEW, occasion="concert")] == [0, 1]
