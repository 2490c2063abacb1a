"""Strong singing, early or for long."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chorus_handbook.warmups.checks.strong import check_strong
from chorus_handbook.warmups.running_order import HALF_SECONDS, MINUTE, PlannedItem
from running_orders import ARPEGGIO, BODY, CALL, TRILL, UNISON, order

SHORT = replace(UNISON, singing=MINUTE, length=70 * HALF_SECONDS)


@pytest.mark.parametrize(
    ("items", "words"),
    [
        ((BODY, TRILL, ARPEGGIO), "after only 1 min 30 s of singing; it needs 2 min"),
        ((ARPEGGIO, UNISON), "after only 0 s of singing"),
        ((BODY, TRILL, UNISON, CALL), "after only 3 min of singing; it needs 4 min"),
        (
            (SHORT, SHORT, SHORT, SHORT, CALL),
            "begins only 5 min 40 s after the start of the warm-up; it needs 8 min",
        ),
    ],
)
def test_early(items: tuple[PlannedItem, ...], words: str) -> None:
    (found,) = check_strong(order(*items))
    assert found.code == "warmup-strong" and words in found.message


def test_in_time_and_short() -> None:
    warm = (BODY, TRILL, UNISON, UNISON, UNISON)
    assert list(check_strong(order(*warm, CALL, UNISON))) == []
    (found,) = check_strong(order(*warm, replace(CALL, sound=61 * HALF_SECONDS), UNISON))
    assert "sounds for 1 min 1 s" in found.message
