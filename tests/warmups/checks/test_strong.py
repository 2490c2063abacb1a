"""Strong singing, early or for long."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chorus_handbook.warmups.checks.strong import check_strong
from chorus_handbook.warmups.running_order import MINUTE, SECOND, PlannedItem
from running_orders import ARPEGGIO, BODY, CALL, TRILL, UNISON, order

SHORT = replace(UNISON, singing=MINUTE, length=70 * SECOND)


@pytest.mark.parametrize(
    ("items", "words"),
    [
        ((BODY, TRILL, ARPEGGIO), "after only 1 min 30 s of singing; it needs 2 min"),
        ((ARPEGGIO, UNISON), "after only 0 s of singing"),
        ((BODY, TRILL, UNISON, CALL), "after only 3 min of singing; it needs 4 min"),
        ((BODY, BODY, BODY, BODY, TRILL, CALL), "after only 1 min 30 s of singing; it needs 2 min"),
    ],
)
def test_early(items: tuple[PlannedItem, ...], words: str) -> None:
    (found,) = check_strong(order(*items))
    assert found.code == "warmup-strong" and words in found.message


def test_strong_singing_needs_one_of_two_measures() -> None:
    late = (BODY, BODY, BODY, TRILL, SHORT, CALL)  # 2 min 30 s of singing, 10 min on the clock
    assert list(check_strong(order(*late))) == []
    assert list(check_strong(order(SHORT, SHORT, SHORT, SHORT, CALL))) == []  # 4 min of singing
    assert len(list(check_strong(order(*late[2:])))) == 1  # neither


def test_of_items_in_full_voice_the_first_is_named() -> None:
    early = order(BODY, replace(ARPEGGIO, singing=MINUTE), ARPEGGIO)
    assert [finding.item for finding in check_strong(early)] == [1]


def test_a_short_warm_up_has_no_two_minutes_to_give() -> None:
    assert list(check_strong(order(SHORT, ARPEGGIO, occasion="short"))) == []
    assert len(list(check_strong(order(BODY, ARPEGGIO, occasion="short")))) == 1


def test_in_time_and_short() -> None:
    warm = (BODY, TRILL, UNISON, UNISON, UNISON)
    assert list(check_strong(order(*warm, CALL, UNISON))) == []
    (found,) = check_strong(order(*warm, replace(CALL, sound=61 * SECOND), UNISON))
    assert "sounds for 1 min 1 s" in found.message
