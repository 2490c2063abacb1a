"""How a routine passes: pauses as long as its words take to say, steps, keys; on the demo's files.
What is expected is counted by hand in those files."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from chorus_handbook.chorus import read_chorus_config
from chorus_handbook.entries.files import ContentFile
from chorus_handbook.entries.model import EXERCISE, Source, Text
from chorus_handbook.entries.warm_up import ROUTINE, RoutineFields
from chorus_handbook.records import Exercise
from chorus_handbook.records.making import make_record
from chorus_handbook.sound.schedule import PlaybackOptions
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.play_through import (
    Passage,
    passages,
    routine_track,
    routine_tracks,
)
from chorus_handbook.warmups.rotation import Log
from conftest import PROJECT

ROOT = PROJECT / "handbook"
SLUGS = ("round-the-barrel", "slipway", "oyster")
CONFIG, _ = read_chorus_config(ROOT)


@pytest.fixture(scope="module")
def stock() -> dict[str, Exercise]:
    found: dict[str, Exercise] = {}
    for slug in SLUGS:
        page = EXERCISE.page(slug)
        record = make_record(ContentFile(ROOT / page, EXERCISE, slug, page), CONFIG, ROOT)
        assert isinstance(record.content, Exercise)
        found[slug] = record.content
    return found


def routine(items: list[dict[str, Any]], **fields: Any) -> Text[RoutineFields]:
    front = RoutineFields.model_validate({"title": "Below decks", "items": items, **fields})
    return Text(ROUTINE.name, Source("below", "routines/below.md", None, {}), "Below", front)


@pytest.fixture(scope="module")
def plan(stock: dict[str, Exercise]) -> Callable[..., list[Passage]]:
    def make(items: list[dict[str, Any]], **fields: Any) -> list[Passage]:
        text = routine(items, **fields)
        assert CONFIG.chorus and CONFIG.vocabulary
        order = running_order(text, stock, CONFIG.chorus, CONFIG.vocabulary, Log())
        assert order is not None
        return passages(text, order, stock, CONFIG.chorus)

    return make


def test_a_pause_then_steps_or_keys(plan: Callable[..., list[Passage]]) -> None:
    """Say has 21 words in the one and 24 in the other: at two a second, 11 and 12 seconds. Between
    them the singers leave the circle, which takes 15."""
    silent, sung = plan(
        [
            {"exercise": "round-the-barrel", "formation": "circle"},
            {"exercise": "slipway", "formation": "rows"},
        ]
    )
    assert silent.timed == ((None, 11), (0, 20), (1, 25), (2, 30), (3, 20), (4, 20), (5, 15))
    assert (silent.keys, silent.silence) == ((), 141)
    assert sung.timed == ((None, 15),)
    assert sung.keys == ("Eb4", "D4", "Db4", "C4", "B3", "Bb3")
    assert sung.step == 2  # "All together", 65 seconds
    (first,) = plan([{"exercise": "slipway"}])
    assert first.timed == ((None, 12),)


def test_what_the_routine_adds_is_said_too(plan: Callable[..., list[Passage]]) -> None:
    note, variation = "One two three four.", "Five six."
    (sung,) = plan([{"exercise": "slipway", "note": note, "variation": variation}])
    assert sung.timed == ((None, 15),)


def test_keys_and_voices_of_the_routine(plan: Callable[..., list[Passage]]) -> None:
    (sung,) = plan([{"exercise": "oyster", "keys": "D4 up to F4"}], present=["lower"])
    assert sung.keys == ("D4", "Eb4", "E4", "F4") and sung.absent == ("soprano", "alto")


def test_steps_without_times_are_said_and_done_in_the_time_of_the_item(
    stock: dict[str, Exercise], plan: Callable[..., list[Passage]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("chorus_handbook.warmups.play_through.read_steps", lambda _: ())
    sections = stock["round-the-barrel"].entry.source.body.sections
    words = {section.heading: section.words for section in sections}
    pause = -(-(words["Say"] + words["How to run it"]) // 2)
    (silent,) = plan([{"exercise": "round-the-barrel", "minutes": 2}])
    assert silent.timed == ((None, pause), (None, 120 - pause))
    (short,) = plan([{"exercise": "round-the-barrel", "minutes": 0.1}])
    assert short.timed == ((None, pause), (None, 5))
    (sung,) = plan([{"exercise": "slipway"}])
    assert sung.step is None and sung.timed[0][1] > 10


def test_the_track_follows_the_passages(stock: dict[str, Exercise]) -> None:
    text = routine([{"exercise": "round-the-barrel"}, {"exercise": "slipway"}], present=["bass"])
    track = routine_track(text, stock, CONFIG, lambda _: b"{}", PlaybackOptions(), b"", "bass")
    assert track and CONFIG.chorus
    silent, sung = track.chapters
    assert (silent.title, silent.silence) == ("Breathing into the sides and the back", 141)
    assert (silent.notes, sung.notes, len(sung.keys)) == (None, b"{}", 6)
    assert sung.absent == {"soprano", "alto", "tenor"}
    assert (track.title, track.chorus, track.label) == ("Below", CONFIG.chorus.name, "Bass")


def test_a_site_has_tracks_of_routines_that_sound(
    stock: dict[str, Exercise], monkeypatch: pytest.MonkeyPatch
) -> None:
    silent, gone = routine([{"exercise": "round-the-barrel"}]), routine([{"exercise": "nothing"}])
    sung = routine([{"exercise": "slipway"}])
    monkeypatch.setattr("chorus_handbook.sound.routine_track.run_seconds", lambda *_: 3595.0)
    arguments = stock, CONFIG, lambda _: b'{"keys": [], "lead_chord": []}', b""
    found, (problem,) = routine_tracks([silent, gone, sung], *arguments)
    assert not found and problem.code == "track-missing" and "takes 61 minutes" in problem.message
    monkeypatch.setattr("chorus_handbook.sound.routine_track.run_seconds", lambda *_: 60.0)
    assert routine_tracks([silent, gone, sung], *arguments)[1] == []
    assert [*routine_tracks([silent, gone, sung], *arguments)[0]] == ["below"]
