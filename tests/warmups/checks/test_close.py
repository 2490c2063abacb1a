"""The last item."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.close import check_close
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import BLEND, CALL, RANGE, UNISON, order


def found(*items: PlannedItem, **fields: object) -> list[int | None]:
    return [finding.item for finding in check_close(order(*items, **fields))]


def test_full_singing_is_last_only_where_it_unites() -> None:
    assert found(UNISON, RANGE) == [1]
    assert found(UNISON, replace(BLEND, impact=4)) == []
    assert found(UNISON, RANGE, chord_follows=True) == []


def test_strong_singing_is_never_last() -> None:
    assert found(replace(CALL, unites=True), chord_follows=True) == [0]


def test_anything_lighter_may_be_last() -> None:
    assert found(RANGE, UNISON) == []
