"""The costly parts: made once, loaded afterwards, and made again where the store was damaged."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from chorus_handbook.cache import Cache
from chorus_handbook.engraving import layouts
from chorus_handbook.engraving.engine import EngravingError
from chorus_handbook.pipeline import draw, read
from chorus_handbook.problems import CODES
from chorus_handbook.records import Exercise, parts, recent_scores
from chorus_handbook.records.parts import Parts


def parts_of(project: Path, cache: Cache) -> tuple[Parts, Exercise]:
    """The parts of the project, and its one exercise."""
    book = read(project / "handbook", cache)
    assert book.problems == () and book.config.chorus
    (exercise,) = book.exercises.values()
    return Parts(book.root, book.config.chorus, cache), exercise


def test_an_exercise_is_drawn_in_every_key(project: Path) -> None:
    made, exercise = parts_of(project, Cache(None))
    drawn = made.drawings(exercise)
    assert [str(key.tonic) for key in drawn] == ["C4", "Db4", "D4"]
    assert [bool(key.thumbnail) for key in drawn] == [True, False, False]
    assert 'aria-label="Low tide in C major, 4/4"' in drawn[0].wide
    assert drawn[0].words and not any(one.words for one in drawn[1:])
    root = ET.fromstring(drawn[0].wide)
    assert root.get("role") == "img"
    assert "mm" in [text.text for text in root.iter("text")]


def test_what_is_stored_is_what_was_made(project: Path, tmp_path: Path) -> None:
    made, exercise = parts_of(project, Cache(tmp_path))
    first = made.drawings(exercise), made.thumbnail(exercise), made.heard(exercise)
    again, exercise = parts_of(project, Cache(tmp_path))
    assert (again.drawings(exercise), again.thumbnail(exercise), again.heard(exercise)) == first


def test_a_score_is_read_once_for_record_drawings_and_sound(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, exercise = parts_of(project, Cache(None))

    def fail(*_: object) -> None:
        raise AssertionError("read again")

    with monkeypatch.context() as patch:
        patch.setattr(parts, "read_score", fail)
        drawn, heard = made.drawings(exercise), made.heard(exercise)
        assert drawn and heard
    monkeypatch.setattr(recent_scores, "_scores", {})
    again = Parts(project / "handbook", made._chorus, Cache(None))
    assert (again.drawings(exercise), again.heard(exercise)) == (drawn, heard)


def test_scores_are_kept_by_all_that_is_in_them_and_not_for_ever(project: Path) -> None:
    made, exercise = parts_of(project, Cache(None))
    assert recent_scores.recent_score(exercise) is not None
    assert recent_scores.recent_score(replace(exercise, sound="another")) is None
    score = recent_scores.recent_score(exercise)
    assert score and made.drawable(exercise)
    for number in range(200):
        recent_scores.remember_score(replace(exercise, sound=str(number)), score)
    assert recent_scores.recent_score(exercise) is None
    assert len(recent_scores._scores) <= 100


def test_a_failure_is_a_problem_where_the_notation_stands_and_is_not_stored(
    project: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    cache = Cache(tmp_path)
    made, exercise = parts_of(project, cache)

    def fail(*_: object) -> None:
        raise EngravingError("ink has run out")

    with monkeypatch.context() as patch:
        patch.setattr(layouts, "write_mei", fail)
        book = read(project / "handbook", cache)
        (problem,) = draw(book, cache).problems
        assert made.drawings(exercise) == () and made.thumbnail(exercise) is None
    assert (problem.code, CODES[problem.code]) == ("engraving", "error")
    assert "ink has run out" in problem.message
    assert problem.place.path == "handbook/exercises/low-tide.md"
    notation = exercise.entry.source.notation
    assert notation and problem.place.line == notation.place.line > 10
    assert draw(book, cache).problems == () and made.drawings(exercise)


@pytest.mark.parametrize(
    "damage", [b"", b"{}", b"[1]", b'[{"tonic": 1}]', b"null", b'{"wide": "<svg/>"}', b"\xff"]
)
def test_what_was_damaged_is_made_again(damage: bytes, project: Path, tmp_path: Path) -> None:
    cache = Cache(tmp_path)
    made, exercise = parts_of(project, cache)
    drawn, small = made.drawings(exercise), made.thumbnail(exercise)
    cache.put(exercise.drawings, damage)
    cache.put(parts._thumbnail_key(exercise), damage)
    assert (made.drawings(exercise), made.thumbnail(exercise)) == (drawn, small)


def test_an_unchanged_exercise_needs_no_heavy_library(project: Path, tmp_path: Path) -> None:
    """Two runs in two processes: the same bytes, and the second does without the engraver."""
    script = (
        "import hashlib, pathlib, sys\n"
        "from chorus_handbook.cache import Cache\n"
        "from chorus_handbook.pipeline import build\n"
        "root, cache = pathlib.Path(sys.argv[1]), Cache(pathlib.Path(sys.argv[2]))\n"
        "site = build(root, cache).site\n"
        "made = [(page.path, page.content, page.headings, dict(page.late))"
        " for page in site.pages]\n"
        "names = 'verovio fontTools music21 matplotlib numpy mido soundfile lxml'.split()\n"
        "names += ['markdown', 'nh3']\n"
        "print(hashlib.sha256(repr((made, {**site.files})).encode()).hexdigest(),"
        " *sorted({*names} & set(sys.modules)))\n"
    )
    command = [sys.executable, "-c", script, str(project / "handbook"), str(tmp_path / "store")]
    first, second = (
        subprocess.run(
            command,
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout.split()
        for seed in ("1", "2")
    )
    assert first[0] == second[0]
    assert "verovio" in first
    assert second[1:] == []
