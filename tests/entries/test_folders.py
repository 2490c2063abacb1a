"""A handbook without exercises, or with folders that nobody may read, is never published."""

from __future__ import annotations

import os
import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook.pipeline import check
from chorus_handbook.report import as_text

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def exercises(project: Path) -> Path:
    return project / "handbook" / "exercises"


def test_a_folder_that_is_missing(project: Path, exercises: Path) -> None:
    exercises.rename(project / "aside")
    (project / "handbook" / "index.md").write_text("[Low tide](exercises/low-tide.md)")
    (problem,) = check(project / "handbook")  # and not that the link leads nowhere
    assert (problem.place.path, problem.code) == ("handbook/exercises", "exercises-missing")
    assert "this folder is missing" in problem.message and "handbook new" in problem.hint


@pytest.mark.parametrize("names", [[], ["low-tide.txt"], [".low-tide.md"], ["scores/"]])
def test_a_folder_without_an_exercise(project: Path, exercises: Path, names: list[str]) -> None:
    (exercises / "low-tide.md").unlink()
    for name in names:
        (exercises / name).mkdir() if name.endswith("/") else (exercises / name).touch()
    assert "exercises-missing" in {problem.code for problem in check(project / "handbook")}


@pytest.mark.parametrize("to", [None, "nowhere", "exercises"])
def test_a_file_or_a_lost_link_in_place_of_the_folder(
    project: Path, exercises: Path, to: str | None
) -> None:
    exercises.rename(project / "aside")
    exercises.symlink_to(project / "handbook" / to) if to else exercises.write_text("x")
    assert "exercises-missing" in {problem.code for problem in check(project / "handbook")}


def as_nobody(work: Callable[[], str]) -> str:
    """What some work answers in a process that is not the superuser's, whom no mode stops."""
    if os.geteuid():
        return work()
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.setuid(65534)
            answer = work()
        except BaseException:
            answer = traceback.format_exc()
        os.write(writing, answer.encode())
        os._exit(0)
    os.close(writing)
    os.waitpid(child, 0)
    with os.fdopen(reading) as answered:
        return answered.read()


@pytest.mark.parametrize("folder", ["exercises", "exercises/more", "pages", "static", "."])
@pytest.mark.parametrize("mode", [0o000, 0o600])
def test_a_folder_that_may_not_be_read_is_named(project: Path, folder: str, mode: int) -> None:
    root = project / "handbook"
    (root / folder).mkdir(exist_ok=True)
    (root / folder / "robots.txt").write_text("User-agent: *\n")
    for above in root.parents:
        if above == Path(tempfile.gettempdir()):
            break
        above.chmod(0o755)
    check(root)  # imports what is needed, which may lie where only the superuser reads
    (root / folder).chmod(mode)
    try:
        text = as_nobody(lambda: as_text(check(root)))
    finally:
        (root / folder).chmod(0o755)
    shown = root.name if folder == "." else f"{root.name}/{folder}"
    assert f"{shown}:1:1: error[folder-unreadable] This folder cannot be read" in text, text


@pytest.mark.parametrize("how", ["missing", "empty", "file"])
def test_a_good_site_is_never_replaced_by_an_empty_one(
    project: Path, exercises: Path, handbook: Run, how: str
) -> None:
    assert handbook("--project", project, "build")[0] == 0
    page = project / "site" / "exercises" / "low-tide" / "index.html"
    before = page.read_bytes()
    (exercises / "low-tide.md").unlink()
    if how != "empty":
        exercises.rmdir()
    if how == "file":
        exercises.write_text("x")
    for command in (["check"], ["build"], ["build", "--strict"]):
        code, out, _ = handbook("--project", project, *command)
        assert code == 1 and "error[exercises-missing]" in out
    assert page.read_bytes() == before


def test_refused_exercises_are_no_empty_handbook(
    project: Path, exercises: Path, handbook: Run
) -> None:
    (exercises / "low-tide.md").write_text("no front matter")
    code, out, _ = handbook("--project", project, "build")
    assert code == 1 and "exercises-missing" not in out
    assert not (project / "site").exists()
