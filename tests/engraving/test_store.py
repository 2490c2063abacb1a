"""Drawings from the store: the same as new ones, never failures, never another engraver's."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus, SoundFont
from chorus_handbook.engraving import engine, store
from chorus_handbook.engraving.exercise import Exercise, engrave_in_keys
from chorus_handbook.engraving.store import keep, key, stored
from chorus_handbook.music.score import WrittenBlock
from chorus_handbook.pitch import Pitch


@pytest.fixture
def exercise(build: Any, chorus: Chorus) -> Exercise:
    score = build.score([build.part("alto", [build.sung(0, 4, "“la” é")])])
    tonics = (Pitch.parse("C4"), Pitch.parse("Db4"))
    return Exercise("la", "“La” é", score, chorus, tonics)


def test_a_stored_exercise_is_the_exercise(exercise: Exercise, tmp_path: Path) -> None:
    new = engrave_in_keys(exercise)
    keep(key(exercise), new, Cache(tmp_path))
    assert stored(key(exercise), exercise, Cache(tmp_path)) == new
    assert len(list(tmp_path.rglob("*/*"))) == 1


def other_score(exercise: Exercise) -> Exercise:
    return replace(exercise, score=replace(exercise.score, mode="minor"))


def block(exercise: Exercise, onset: int) -> Exercise:
    return replace(exercise, score=replace(exercise.score, blocks=(WrittenBlock((), onset),)))


@pytest.mark.parametrize(
    "change",
    [
        other_score,
        lambda exercise: replace(exercise, slug="lo"),
        lambda exercise: replace(exercise, title="Lo"),
        lambda exercise: replace(exercise, tonics=exercise.tonics[:1]),
        lambda exercise: replace(
            exercise, chorus=exercise.chorus.model_copy(update={"name": "Other"})
        ),
        lambda exercise: block(exercise, 2),  # a double bar line stands there
    ],
)
def test_whatever_a_drawing_depends_on_is_in_its_name(exercise: Exercise, change: Any) -> None:
    assert key(change(exercise)) != key(exercise)


def test_what_is_only_heard_is_not(exercise: Exercise) -> None:
    font = SoundFont(file="sounds/our.sf2")
    other = replace(exercise, chorus=exercise.chorus.model_copy(update={"sound_font": font}))
    assert key(other) == key(exercise)


@pytest.mark.parametrize("changed", ["engraver_version", "_code"])
def test_nothing_of_another_engraver_is_ever_used(
    changed: str, exercise: Exercise, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = key(exercise)
    monkeypatch.setattr(store, changed, lambda: "another")
    assert key(exercise) != before


def test_the_engravers_settings_are_in_its_version(monkeypatch: pytest.MonkeyPatch) -> None:
    before = engine.engraver_version()
    monkeypatch.setitem(engine._OPTIONS, "spacingStaff", 11)
    assert engine.engraver_version() != before


@pytest.mark.parametrize(
    "record", [b"", b"{}", b"[1]", b'[{"tonic": 1}]', b"null", b"[]", b'{"wide": "<svg/>"}']
)
def test_a_record_that_holds_no_drawings_is_not_used(
    record: bytes, exercise: Exercise, tmp_path: Path
) -> None:
    Cache(tmp_path).put("abcd", record)
    assert stored("abcd", exercise, Cache(tmp_path)) is None
