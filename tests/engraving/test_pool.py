"""Exercises over several processes: the same drawings, and every failure told."""

from __future__ import annotations

from typing import Any

import pytest

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import pool
from chorus_handbook.engraving.exercise import Drawable
from chorus_handbook.pitch import Pitch


def exercises(build: Any, chorus: Chorus) -> list[Drawable]:
    tonics = tuple(map(Pitch.parse, ("C4", "D4", "E4")))
    good = build.score([build.part("alto", build.scale(0, 1, 2, 3))])
    endless = build.score([build.part("alto", [build.sung(n % 5, "1/4") for n in range(5001)])])
    return [
        Drawable("one", "One", good, chorus, tonics),
        Drawable("endless", "Endless", endless, chorus, tonics[:1]),
        Drawable("two", "Two", good, chorus, tonics),
    ]


def test_two_processes_draw_what_one_draws(
    build: Any, chorus: Chorus, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pool, "_WORTH_SHARING", 1)
    asked = exercises(build, chorus)
    monkeypatch.setenv(pool.PROCESSES, "2")
    two = dict(pool.draw_all(asked))
    monkeypatch.setenv(pool.PROCESSES, "1")
    one = dict(pool.draw_all(asked))
    assert two == one
    assert list(one) == ["one", "endless", "two"]
    assert len(two["two"]) == 3
    assert two["endless"] == "5001 notes are more than can be drawn in one piece"


def test_without_room_for_processes_one_will_do(
    build: Any, chorus: Chorus, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr(pool, "_WORTH_SHARING", 1)
    monkeypatch.setattr(pool, "ProcessPool", full)
    monkeypatch.setenv(pool.PROCESSES, "2")
    assert list(dict(pool.draw_all(exercises(build, chorus)))) == ["one", "endless", "two"]


@pytest.mark.parametrize("setting, count", [("1", 1), ("3", 3), ("0", 1)])
def test_the_environment_says_how_many_draw(
    setting: str, count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(pool.PROCESSES, setting)
    assert pool.processes() == count


@pytest.mark.parametrize("setting", ["", "many", "-2"])
def test_what_is_no_number_is_as_if_nothing_were_said(
    setting: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(pool.PROCESSES, setting)
    monkeypatch.setattr(pool.os, "cpu_count", lambda: 5)
    assert pool.processes() == 5
