"""What an occasion asks for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chorus_handbook.warmups.checks.occasion import check_occasion
from chorus_handbook.warmups.running_order import HALF_SECONDS, MINUTE, PlannedItem
from running_orders import ARPEGGIO, BLEND, CALL, ROUND, UNISON, order


def found(occasion: str, *items: PlannedItem) -> list[int | None]:
    return [one.item for one in check_occasion(order(*items, occasion=occasion))]


def phrase(seconds: int) -> PlannedItem:
    return replace(UNISON, phrase=seconds * HALF_SECONDS, length=MINUTE)


@pytest.mark.parametrize(
    ("occasion", "bad", "good"),
    [
        ("concert", CALL, ARPEGGIO),
        ("outdoor", ARPEGGIO, replace(ARPEGGIO, span=9)),
        ("outdoor", ARPEGGIO, replace(ARPEGGIO, impact=3)),
        ("seated", phrase(8), phrase(7)),
        ("children", phrase(5), phrase(4)),
        ("children", replace(UNISON, length=80 * HALF_SECONDS), phrase(1)),
        ("online", ROUND, UNISON),
        ("online", replace(BLEND, tunes=True), BLEND),
    ],
)
def test_what_is_too_much_for_it(occasion: str, bad: PlannedItem, good: PlannedItem) -> None:
    assert found(occasion, phrase(1), bad) == [1]
    assert found(occasion, phrase(1), good) == []
    assert found("weekly", phrase(1), bad) == []


def test_a_concert_needs_no_more_than_six_minutes_of_singing() -> None:
    assert found("concert", *[UNISON] * 4) == []
    assert found("concert", *[UNISON] * 5) == [None]
