"""Files on our targets: everything that editors write is drawn, or it is said what is not."""

from __future__ import annotations

import re
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from chorus_handbook import worker
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving import engine
from chorus_handbook.engraving.compact import Svg
from chorus_handbook.engraving.engine import EngravingError, draw_in_worker
from chorus_handbook.engraving.engraved import Engraved
from chorus_handbook.engraving.exercise import engrave_in_key
from chorus_handbook.engraving.file_layouts import file_layouts, interval
from chorus_handbook.engraving.layouts import NARROW, THUMBNAIL, WIDE, Drawings
from chorus_handbook.music.score import Score, ScoreFile
from chorus_handbook.pitch import Pitch
from chorus_handbook.worker import WorkerError

Text = Callable[[str], str]
#: Files that can be drawn in no key but their own.
NOT_MOVED = {"13c": "neither major nor minor", "13d": "neither major nor minor"}


@pytest.fixture
def engraved(file_score: Callable[..., Score], chorus: Chorus) -> Callable[..., Engraved]:
    """Draws a file in a key."""

    def draw(xml: str, key: str = "C4") -> Engraved:
        tonic = Pitch.parse(key)
        return engrave_in_key("slug", "Title", file_score(xml), chorus=chorus, tonic=tonic)

    return draw


def ids(markup: str) -> list[str]:
    return re.findall(r'<g id="([^"]*)"', markup)


@pytest.mark.parametrize("key", ["C4", "Eb4"])
def test_every_file_is_drawn_or_refused_in_plain_words(
    suite_file: str, key: str, file_text: Text, engraved: Callable[..., Engraved]
) -> None:
    xml, start = file_text(suite_file), suite_file.partition("-")[0]
    refused = {} if key == "C4" else NOT_MOVED
    if start in refused:
        with pytest.raises(EngravingError, match=refused[start]):
            engraved(xml, key)
        return
    drawn = engraved(xml, key)
    hidden = {"22b": 4}.get(start, 0)  # noteheads of the kind "none"
    known = set(re.findall(r'<note[^>]* id="([^"]*)"', xml))
    for markup, suffix in ((drawn.wide, ""), (drawn.narrow, ".n")):
        found = ids(markup or "")
        assert len(found) == len(set(found))
        if markup is not None:
            assert {name.removesuffix(suffix) for name in found} <= known
            assert len(found) == len(known) - hidden
    assert ids(drawn.thumbnail) == []
    assert "<text" not in re.sub(r'<text[^>]*font-size="324".*?</text>', "", drawn.thumbnail)


@pytest.mark.parametrize("suite_file", ["41e", "31a", "32a-", "61b", "43a", "33a"])
def test_papers_are_never_too_wide(suite_file: str, file_text: Text) -> None:
    drawings = layouts(file_text(suite_file))
    assert drawings.wide.width <= WIDE.width
    assert drawings.narrow is None or drawings.narrow.width <= NARROW.width
    assert drawings.thumbnail.width <= THUMBNAIL.width


def test_long_scores_are_broken_evenly_and_short_ones_not(file_text: Text) -> None:
    drawings = layouts(file_text("41e"))  # 23 bars of a whole note each
    assert drawings.narrow is not None
    assert systems(drawings.wide.svg) == [7, 8, 8]
    assert max(systems(drawings.narrow.svg)) == 5
    assert layouts(file_text("43a")).narrow is None


def test_rests_of_many_bars_are_one_measure(file_text: Text) -> None:
    drawings = layouts(file_text("02c"))
    assert drawings.wide.svg.measure_ids == [f"measure.{n}" for n in (0, 3, 18, 19)]
    assert len(drawings.wide.svg.measures) == 4


def test_a_thumbnail_is_small_and_bare(file_text: Text) -> None:
    svg = layouts(file_text("42a")).thumbnail.svg
    assert len(svg.measures) <= 2
    for sign in ("glyph-E4C0", "glyph-E4A0", "glyph-E52D"):  # fermata, accent, mf
        assert sign not in svg.symbols
    assert "<text" not in svg.body


@pytest.mark.parametrize(
    ("written", "wanted", "name"),
    [
        ("C4", "C4", ""),
        ("C4", "Eb4", "m3"),
        ("C4", "A3", "-m3"),
        ("D4", "D5", "P8"),
        ("D4", "C#5", "M7"),
        ("D4", "F5", "m10"),
        ("D4", "B2", "-m10"),
        ("F#4", "Gb4", "d2"),
        ("Db4", "C#4", "-d2"),
        ("C4", "C#4", "A1"),
        ("C4", "Cb4", "-A1"),
    ],
)
def test_intervals_have_the_engravers_names(written: str, wanted: str, name: str) -> None:
    assert interval(Pitch.parse(written), Pitch.parse(wanted)) == name


def test_a_key_is_drawn_in_two_requests_and_always_alike(
    file_text: Text, engraved: Callable[..., Engraved], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []

    def call(function: str, jobs: list[Any], **more: Any) -> Any:
        asked.append(len(jobs))
        return worker.call(function, jobs, **more)

    monkeypatch.setattr(engine, "worker", SimpleNamespace(call=call))
    first = engraved(file_text("41e"), "D4")
    assert asked == [3, 2]
    assert engraved(file_text("41e"), "D4") == first
    assert engraved(file_text("41e"), "E4") != first
    assert asked == [3, 2, 3, 2, 3, 2]


@pytest.mark.parametrize("reason", ["took longer than 10 seconds", "crashed"])
def test_a_failed_worker_is_told(
    reason: str,
    file_text: Text,
    engraved: Callable[..., Engraved],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def fail(*_: Any, **__: Any) -> None:
        raise WorkerError("crash", reason)

    monkeypatch.setattr(worker, "call", fail)
    with pytest.raises(EngravingError, match=f"the file {reason}"):
        engraved(file_text("01a"))


def test_a_file_is_drawn_in_another_process(
    file_text: Text, engraved: Callable[..., Engraved], monkeypatch: pytest.MonkeyPatch
) -> None:
    from chorus_handbook.engraving import engine

    monkeypatch.setattr(engine, "_toolkit", None)  # whoever draws here fails
    assert engraved(file_text("01a")).wide


@pytest.mark.parametrize(
    ("xml", "message"),
    [
        ("<score-partwise", "could not be read"),
        ("<score-partwise/>", "there is no bar in it"),
        ('<score-partwise><part id="P1"/></score-partwise>', "there is no bar in it"),
        (
            f"<score-partwise><part><measure>{'<note/>' * 5001}</measure></part></score-partwise>",
            "5001 notes are more",
        ),
    ],
)
def test_what_holds_no_score_is_told(xml: str, message: str) -> None:
    with pytest.raises(EngravingError, match=message):
        layouts(xml)


def layouts(xml: str, tonic: str = "C4") -> Drawings:
    return file_layouts(ScoreFile(xml, Pitch.parse("C4")), Pitch.parse(tonic), draw_in_worker)


def systems(svg: Svg) -> list[int]:
    """How many measures each system has."""
    numbers = [system for system, _, _ in svg.measures]
    return [numbers.count(n) for n in range(max(numbers) + 1)]
