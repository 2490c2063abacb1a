"""A warm-up for older singers in words, and the way from a fork to a key."""

from __future__ import annotations

import pytest

from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.entries.files import ContentFile
from chorus_handbook.entries.model import EXERCISE, Source, Text
from chorus_handbook.entries.warm_up import WARM_UP, WarmUpFields
from chorus_handbook.pages.order_rows import OrderRow, order_rows
from chorus_handbook.pages.strip import from_fork
from chorus_handbook.pitch import Pitch
from chorus_handbook.records import Exercise
from chorus_handbook.records.making import make_record
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.rotation import Log
from conftest import PROJECT

ROOT = PROJECT / "handbook"


def rows(kind: str) -> list[OrderRow]:
    """The rows of a warm-up of this kind: one exercise of the demo, which begins in E flat."""
    config, _ = read_chorus_config(ROOT)
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    page = EXERCISE.page("slipway")
    record = make_record(ContentFile(ROOT / page, EXERCISE, "slipway", page), config, ROOT)
    assert isinstance(record.content, Exercise)
    stock = {"slipway": record.content}
    about = {"title": "Night", "date": "2026-09-03", "starts": "19:30", "minutes": 20}
    items = [{"exercise": "slipway"}, {"exercise": "slipway", "at": "20:15"}]
    front = WarmUpFields.model_validate({**about, "kind": kind, "items": items})
    text = Text(WARM_UP.name, Source("night", "handbook/warmups/x.md", None, {}), "N", front)
    order = running_order(text, stock, chorus, vocabulary, Log())
    assert order
    return order_rows(text, order, stock, chorus, vocabulary, with_status=False)


def test_seated_words_come_first_and_older_singers_begin_two_semitones_lower() -> None:
    seated, weekly = rows("seated")[0], rows("weekly")[0]
    assert seated.steps[0] == "Seated: the same, on the front half of the chair."
    assert seated.steps[1:] == weekly.steps and not seated.seated
    assert (seated.older, weekly.older) == ("D♭", "") and weekly.seated == seated.steps[0]


def test_a_later_block_is_said_with_its_time_of_day() -> None:
    first, later = rows("concert")
    assert (first.again, first.offset) == ("", "0:00")
    assert (later.again, later.offset) == ("20:15", "20:15")


@pytest.mark.parametrize(
    ("tonic", "way"),
    [
        *(("A3", "the fork’s own note"), ("D4", "up a fourth"), ("E4", "down a fourth")),
        *(("Bb3", "up a minor second"), ("Eb4", "up an augmented fourth")),
        ("G4", "down a major second"),
    ],
)
def test_the_shorter_way_from_a_fork(tonic: str, way: str) -> None:
    """Intervals counted on the scale (common practice); a fork gives A."""
    assert from_fork(Pitch.parse(tonic)) == way
