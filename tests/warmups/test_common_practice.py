"""Orders that directors call good or bad (common practice): the good ones draw no notice, each of
the bad ones its own and no other."""

from __future__ import annotations

import pytest

from chorus_handbook.warmups.running_order import PlannedItem
from running_orders import (
    ARPEGGIO,
    BLEND,
    BODY,
    CALL,
    CHORD,
    HUM,
    RANGE,
    ROUND,
    TOGETHER,
    TRILL,
    UNISON,
    codes,
)


@pytest.mark.parametrize(
    "items",
    [
        (BODY, TRILL, UNISON, ARPEGGIO, CHORD),
        (HUM, UNISON, ROUND, TOGETHER),
    ],
    ids=["body-trill-unison-arpeggio-chord", "hum-unison-round-together"],
)
def test_a_good_order_draws_no_notice(items: tuple[PlannedItem, ...]) -> None:
    assert codes(*items) == []


@pytest.mark.parametrize(
    ("items", "code"),
    [
        ((BODY, TRILL, CALL, UNISON, UNISON), "warmup-strong"),
        ((BODY, TRILL, UNISON, ARPEGGIO, CALL), "warmup-close"),
        ((BODY, CHORD, UNISON, BLEND), "warmup-harmony"),
        ((UNISON, UNISON, ARPEGGIO, BLEND), "warmup-body"),
        ((BODY, TRILL, UNISON, RANGE), "warmup-close"),
    ],
    ids=["5-too-early", "5-last", "harmony-first", "no-body-or-breath", "4-last"],
)
def test_a_bad_order_draws_its_own_notice(items: tuple[PlannedItem, ...], code: str) -> None:
    assert codes(*items) == [code]
