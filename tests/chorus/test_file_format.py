"""The format of a handbook's files: an old one is read, of a newer one nothing is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook import pipeline
from chorus_handbook.chorus.file_format import FIRST_FORMAT, FORMAT

Run = Callable[..., tuple[int, str, str]]


def state_format(project: Path, value: object) -> None:
    path = project / "handbook" / "chorus.yml"
    path.write_text(f"format: {value}\n{path.read_text('utf-8')}", encoding="utf-8")


def test_a_handbook_that_states_no_format_is_of_the_first(project: Path) -> None:
    chorus = pipeline.read(project / "handbook").config.chorus
    assert chorus is not None and chorus.format == FIRST_FORMAT


@pytest.mark.parametrize("value", range(FIRST_FORMAT, FORMAT + 1))
def test_every_format_up_to_the_present_is_read(project: Path, value: int) -> None:
    state_format(project, value)
    assert pipeline.check(project / "handbook") == []


def test_a_newer_format_is_one_error_whatever_else_is_unknown(project: Path) -> None:
    state_format(project, FORMAT + 1)
    root = project / "handbook"
    with (root / "chorus.yml").open("a", encoding="utf-8") as file:
        file.write("rooms: [hall]\n")
    exercise = root / "exercises" / "low-tide.md"
    exercise.write_text(exercise.read_text("utf-8").replace("summary:", "in_short:"), "utf-8")
    (problem,) = pipeline.check(root)
    assert (problem.code, problem.place.line) == ("format-newer", 1)
    assert str(FORMAT + 1) in problem.message and "newer version" in problem.hint


@pytest.mark.parametrize("command", [("build",), ("measure", "low-tide"), ("plan", "--title", "A")])
def test_commands_say_so_too(project: Path, handbook: Run, command: tuple[str, ...]) -> None:
    state_format(project, FORMAT + 1)
    code, out, err = handbook("--project", project, *command)
    assert code in (1, 2) and (out + err).count("newer version of the program") == 1


@pytest.mark.parametrize("value", ["0", "-1", "two", "1.5", "true"])
def test_what_is_no_format_is_a_wrong_value(project: Path, value: str) -> None:
    state_format(project, value)
    problems = pipeline.check(project / "handbook")
    assert {problem.code for problem in problems} == {"field-value"}
    assert all(problem.place.path.endswith("chorus.yml") for problem in problems)
