"""Drawings from the store: the same as new ones, never failures, never another engraver's."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import store
from chorus_handbook.engraving.compact import Picture
from chorus_handbook.engraving.engine import EngravingError, Options, draw
from chorus_handbook.engraving.mei import write_mei
from chorus_handbook.engraving.store import drawn
from chorus_handbook.engraving.written import write
from chorus_handbook.pitch import Pitch


@pytest.fixture
def document(build: Any, chorus: Chorus) -> str:
    score = build.score([build.part("alto", [build.sung(0, 4, "“la” é")])])
    return write_mei(write(score, chorus), Pitch.parse("C4"))


def refuse(*_: object) -> Picture:
    raise AssertionError("drawn again")


def test_a_stored_drawing_is_the_drawing(
    document: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    new = drawn(document, Options(), Cache(tmp_path))
    assert new == draw(document)
    monkeypatch.setattr(store, "draw", refuse)
    assert drawn(document, Options(), Cache(tmp_path)) == new


@pytest.mark.parametrize("changed", ["engraver", "compactor", "options", "document"])
def test_nothing_stale_is_ever_used(
    changed: str, document: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn(document, Options(), Cache(tmp_path))
    if changed == "engraver":
        monkeypatch.setattr(store, "engraver_version", lambda: "verovio 0")
    elif changed == "compactor":
        monkeypatch.setattr(store.compact, "VERSION", "0")
    options = Options(suffix=".n") if changed == "options" else Options()
    text = document.replace("la", "lo") if changed == "document" else document
    monkeypatch.setattr(store, "draw", refuse)
    with pytest.raises(AssertionError, match="drawn again"):
        drawn(text, options, Cache(tmp_path))


def test_failures_are_not_stored(tmp_path: Path) -> None:
    for _ in range(2):
        with pytest.raises(EngravingError):
            drawn("<mei/>", Options(), Cache(tmp_path))
    assert not list(tmp_path.rglob("*"))
