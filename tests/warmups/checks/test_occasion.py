"""What an occasion asks for."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chorus_handbook.warmups.checks.occasion import check_occasion
from chorus_handbook.warmups.running_order import MINUTE, SECOND, PlannedItem
from running_orders import ARPEGGIO, CALL, ROUND, UNISON, order


def found(occasion: str, *items: PlannedItem) -> list[int | None]:
    return [one.item for one in check_occasion(order(*items, occasion=occasion))]


#: Short enough for every occasion.
LIGHT = replace(UNISON, length=MINUTE)


@pytest.mark.parametrize(
    ("occasion", "bad", "good"),
    [
        ("concert", CALL, ARPEGGIO),
        ("outdoor", ARPEGGIO, replace(ARPEGGIO, span=9)),
        ("outdoor", ARPEGGIO, replace(ARPEGGIO, impact=3)),
        ("children", replace(UNISON, length=136 * SECOND), LIGHT),
        (
            "children",
            replace(UNISON, length=3 * MINUTE),
            replace(UNISON, length=3 * MINUTE, comment="In unison, then in two groups."),
        ),
        ("children", replace(UNISON, length=3 * MINUTE), replace(UNISON, length=2 * MINUTE)),
        ("online", replace(ROUND, lines=0), UNISON),
        ("online", replace(UNISON, lines=3), replace(UNISON, lines=2)),
        ("online", replace(UNISON, main_goal="tuning"), replace(UNISON, main_goal="vowels")),
    ],
)
def test_what_is_too_much_for_it(occasion: str, bad: PlannedItem, good: PlannedItem) -> None:
    assert found(occasion, LIGHT, bad) == [1]
    assert found(occasion, LIGHT, good) == []
    assert found("weekly", LIGHT, bad) == []


def test_a_concert_needs_no_more_than_six_minutes_of_singing() -> None:
    assert found("concert", *[UNISON] * 4) == []
    assert found("concert", *[UNISON] * 5) == [None]


def test_the_block_right_before_the_concert_is_shorter() -> None:
    again = replace(UNISON, at=60 * MINUTE)
    assert found("concert", *[UNISON] * 4, again, UNISON) == []
    assert found("concert", *[UNISON] * 4, again, UNISON, UNISON) == [None]
