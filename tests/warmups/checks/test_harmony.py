"""Harmony before unison."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.harmony import check_harmony
from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import BODY, CHORD, HUM, UNISON, codes, order


def found(*items: PlannedItem) -> list[int | None]:
    return [finding.item for finding in check_harmony(order(*items))]


def test_lines_of_their_own_come_after_one_line() -> None:
    assert found(BODY, CHORD, UNISON) == [1]
    assert found(HUM, CHORD) == found(UNISON, CHORD) == []


def test_two_lines_soft_lines_and_standing_chords_are_exempt() -> None:
    for exempt in ({"lines": 2}, {"impact": 2}, {"lines": 0}):
        assert found(BODY, replace(CHORD, **exempt), UNISON) == []  # type: ignore[arg-type]


def test_a_routine_is_exempt() -> None:
    assert codes(CHORD, occasion=None) == []
