"""High keys for older singers (common practice)."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.pitch import Pitch
from chorus_handbook.warmups.checks.seated import check_seated
from running_orders import ITEM, order, sings


def found(top: str, occasion: str = "seated", *, open_mouth: bool = True) -> list[str]:
    keys = sings(62, Pitch.parse(top).midi, open_mouth=open_mouth)
    made = order(replace(ITEM, title="Scale", keys=keys), occasion=occasion)
    return [finding.message for finding in check_seated(made)]


def test_nothing_above_what_is_comfortable_even_two_semitones_lower() -> None:
    (message,) = found("Ab5")
    assert '"Scale" (item) takes Soprano to Ab5' in message
    assert found("G5") == []  # the comfortable range of these tests ends at F5
    assert found("Ab5", "weekly") == []


def test_a_hum_may_go_higher() -> None:
    assert found("Ab5", open_mouth=False) == []
