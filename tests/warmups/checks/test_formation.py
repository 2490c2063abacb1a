"""Changes of formation."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.formation import check_formation
from running_orders import UNISON, order


def formations(*names: str) -> list[tuple[int | None, str]]:
    items = (replace(UNISON, formation=name) for name in names)
    return [(one.item, one.message) for one in check_formation(order(*items))]


def test_the_third_change_is_too_many() -> None:
    assert formations("circle", "rows", "rows", "circle") == []
    ((place, message),) = formations("circle", "rows", "", "circle", "arc", "rows")
    assert place == 4 and "4 times" in message and "2 min" in message


def test_an_item_may_be_sung_as_they_stand() -> None:
    circle = replace(UNISON, formation="circle")
    rows = replace(UNISON, formation="rows", as_they_stand=True)
    assert list(check_formation(order(circle, rows, circle, rows, circle, rows))) == []


def test_an_item_that_names_none_changes_nothing() -> None:
    assert formations("circle", "", "circle", "", "circle", "") == []
