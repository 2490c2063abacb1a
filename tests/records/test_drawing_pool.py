"""Exercises drawn in several processes: the same drawings, and every failure reported."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pipeline import read
from chorus_handbook.records import Exercise, drawing_pool
from chorus_handbook.records.drawing_pool import DrawingPool
from chorus_handbook.records.parts import Parts


@pytest.fixture
def asked(project: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[list[Exercise], Chorus]:
    """One exercise that is drawn, one with more notes than can be, and another that is drawn."""
    monkeypatch.setattr(drawing_pool, "_WORTH_SHARING", 1)
    book = read(project / "handbook", Cache(None))
    (exercise,) = book.exercises.values()
    assert book.config.chorus
    lines = zip(("soprano", "alto", "bass"), ("1.2.3.4", "3.4.5.6", "5.4.3.2"), strict=True)
    endless = "\n".join(f"{v}: {' | '.join([' '.join([beat] * 4)] * 190)} |" for v, beat in lines)
    return [
        named(exercise, "one"),
        named(exercise, "endless", endless),
        named(exercise, "two"),
    ], book.config.chorus


def named(exercise: Exercise, slug: str, notation: str = "") -> Exercise:
    source = exercise.entry.source
    assert source.notation
    if notation:
        source = replace(source, notation=replace(source.notation, text=notation))
    entry = replace(exercise.entry, source=replace(source, slug=slug))
    return replace(exercise, entry=entry, drawings=f"drawings-{slug}")


def drawn(
    asked: tuple[list[Exercise], Chorus], root: Path, cache: Cache
) -> tuple[dict[str, object], list[str]]:
    exercises, chorus = asked
    with DrawingPool(exercises, root, chorus, cache) as making:
        parts = Parts(root, chorus, cache, making)
        found = {e.slug: parts.drawings(e) for e in exercises}
        return found, [problem.message for problem in making.problems()]


@pytest.mark.parametrize("stored", [True, False])
def test_two_processes_draw_what_one_draws(
    asked: tuple[list[Exercise], Chorus],
    project: Path,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    stored: bool,
) -> None:
    results = {}
    for count in ("2", "1"):
        monkeypatch.setenv("HANDBOOK_PROCESSES", count)
        cache = Cache(tmp_path / count if stored else None)
        results[count] = drawn(asked, project / "handbook", cache)
        assert cache.made == {"drawn": 2, "keys": 6}
    assert results["1"] == results["2"]
    found, problems = results["1"]
    assert found["one"] and found["two"] and found["endless"] == ()
    assert len(problems) == 1 and "more than can be drawn in one piece" in problems[0]


def test_without_room_for_processes_one_will_do(
    asked: tuple[list[Exercise], Chorus], project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr(drawing_pool, "ProcessPool", full)
    monkeypatch.setenv("HANDBOOK_PROCESSES", "2")
    found, problems = drawn(asked, project / "handbook", Cache(None))
    assert found["one"] and found["two"] and len(problems) == 1


def test_this_process_draws_what_no_other_has_begun(
    asked: tuple[list[Exercise], Chorus], project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other process has begun its first job, and is not done before this one has done all
    others."""
    jobs: list[tuple[Future[Any], Sequence[Exercise], tuple[Any, ...]]] = []
    here: list[str] = []
    draw = drawing_pool.draw

    class Slow(nullcontext[Any]):
        def __enter__(self) -> Any:
            return self

        def submit(self, _: object, exercises: Sequence[Exercise], *more: Any) -> Future[Any]:
            jobs.append((Future(), exercises, more))
            if len(jobs) == 1:
                jobs[0][0].set_running_or_notify_cancel()
            return jobs[-1][0]

    def drawn_here(exercises: Sequence[Exercise], *more: Any) -> Any:
        here.extend(exercise.slug for exercise in exercises)
        if len(here) == len(jobs) - 1:
            jobs[0][0].set_result(draw(jobs[0][1], *jobs[0][2]))
        return draw(exercises, *more)

    monkeypatch.setattr(drawing_pool, "ProcessPool", Slow)
    monkeypatch.setattr(drawing_pool, "draw", drawn_here)
    monkeypatch.setenv("HANDBOOK_PROCESSES", "2")
    exercises, chorus = asked
    with DrawingPool(exercises, project / "handbook", chorus, Cache(None)) as drawing:
        (first,) = jobs[0][1]
        drawing.wait_for(first)
        assert sorted([first.slug, *here]) == ["endless", "one", "two"]
        assert len(drawing.problems()) == 1
