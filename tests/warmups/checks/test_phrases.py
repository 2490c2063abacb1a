"""Phrases that are long for older singers or for children (common practice)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from chorus_handbook.warmups.checks.phrases import check_phrases
from chorus_handbook.warmups.running_order import SECOND
from running_orders import UNISON, order


@pytest.mark.parametrize(("occasion", "longest"), [("seated", 7), ("children", 4)])
def test_a_phrase_is_sung_in_two_breaths_at_most(occasion: str, longest: int) -> None:
    fits = replace(UNISON, phrase=2 * longest * SECOND)
    long = replace(UNISON, phrase=(2 * longest + 1) * SECOND)
    free = replace(long, breath_free=True)
    found = [*check_phrases(order(fits, long, free, occasion=occasion))]
    assert [finding.item for finding in found] == [1]
    assert (
        f"{2 * longest + 1} s, which is long for this kind of warm-up; {longest} s are enough"
        in (found[0].message)
    )
    assert [*check_phrases(order(long))] == []
