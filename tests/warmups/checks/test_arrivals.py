"""Sections that come late (common practice)."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.warmups.checks.arrivals import check_arrivals
from chorus_handbook.warmups.running_order import MINUTE, PlannedItem
from running_orders import ARPEGGIO, BODY, TRILL, UNISON, order, sings

SUNG = sings(60, 72)


def found(*items: PlannedItem, minute: int = 3) -> list[str]:
    sung = [replace(item, keys=SUNG) if item.impact > 1 else item for item in items]
    made = order(*sung, arrivals={"soprano": minute * MINUTE})
    return [finding.message for finding in check_arrivals(made)]


def test_nobody_comes_straight_into_full_singing() -> None:
    (message,) = found(TRILL, UNISON, ARPEGGIO)
    assert (
        'Soprano comes 3 min after the start and then begins with "Arpeggio" (item, impact 4)'
        in message
    )
    assert found(TRILL, UNISON, UNISON, ARPEGGIO) == []


def test_what_needs_no_voice_warms_up_nobody() -> None:
    assert found(TRILL, UNISON, BODY, ARPEGGIO)


def test_a_voice_that_sings_nothing_afterwards() -> None:
    assert found(TRILL, ARPEGGIO, minute=20) == []
    alto_only = order(TRILL, UNISON, replace(ARPEGGIO, keys=({},)), arrivals={"soprano": 600})
    assert [*check_arrivals(alto_only)] == []
