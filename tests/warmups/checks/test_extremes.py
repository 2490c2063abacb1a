"""Notes at the edge of a voice that nothing has prepared."""

from __future__ import annotations

from dataclasses import replace

from chorus_handbook.pitch import Pitch
from chorus_handbook.warmups.checks.extremes import check_extremes
from chorus_handbook.warmups.running_order import KeyReach, PlannedItem
from running_orders import ITEM, VOICES, order, sings


def note(name: str) -> int:
    return Pitch.parse(name).midi


def sung(lowest: str, highest: str, *, open_mouth: bool = True) -> PlannedItem:
    keys = sings(note(lowest), note(highest), open_mouth=open_mouth)
    return replace(ITEM, title="Scale", keys=keys)


def found(*items: PlannedItem) -> list[str]:
    return [finding.message for finding in check_extremes(order(*items))]


def test_the_voice_of_these_tests_is_comfortable_from_c4_to_f5() -> None:
    assert VOICES["soprano"] == ("Soprano", note("C4"), note("F5"))


def test_a_high_note_without_preparation() -> None:
    (message,) = found(sung("D4", "C5"), sung("D4", "G5"))
    assert '"Scale" (item) takes Soprano to G5' in message and "more than a fourth" in message


def test_a_note_within_a_fourth_prepares() -> None:
    assert found(sung("D4", "D5"), sung("D4", "G5")) == []


def test_what_is_comfortable_needs_no_preparation() -> None:
    assert found(sung("C4", "F5")) == []


def test_hums_trills_and_glides_prepare_and_need_no_preparation() -> None:
    trill = sung("C4", "A5", open_mouth=False)
    assert found(trill) == [] and found(trill, sung("D4", "A5")) == []
    glide = ({"soprano": KeyReach(note("C4"), note("D5"), note("C4"), note("G4"))},)
    assert found(replace(ITEM, keys=glide), sung("D4", "G5")) == []


def test_earlier_keys_of_the_same_item_prepare() -> None:
    keys = tuple(sings(60, top)[0] for top in range(note("E5"), note("A5") + 1))
    assert found(sung("C4", "D5"), replace(ITEM, keys=keys)) == []


def test_a_low_note_without_preparation() -> None:
    assert found(sung("F4", "C5"), sung("B3", "C5"))
    assert found(sung("E4", "C5"), sung("B3", "C5")) == []
