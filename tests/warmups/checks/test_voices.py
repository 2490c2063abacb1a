"""Voices that are there."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.problems import CODES
from chorus_handbook.warmups.checks.voices import check_voices
from running_orders import UNISON, codes, order


def test_somebody_who_is_there_can_sing_each_key() -> None:
    assert list(check_voices(order(UNISON))) == []
    (found,) = check_voices(order(UNISON, replace(UNISON, unsung_key="G4")))
    assert (found.item, CODES[found.code]) == (1, "error") and "in G4" in found.message


def test_it_holds_for_routines_too() -> None:
    assert codes(replace(UNISON, unsung_key="G4"), occasion=None) == ["warmup-voices"]
