"""What a site is made from, and what has changed of it."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from chorus_handbook.records import inputs
from chorus_handbook.records.inputs import Inputs, inputs_of


def now(project: Path) -> Inputs:
    return inputs_of(
        project / "handbook", project / "mkdocs.yml", date="1700000000", options="plain"
    )


def test_while_nothing_changes_inputs_are_the_same(project: Path) -> None:
    before = now(project)
    assert now(project) == before
    assert Inputs.from_json(before.to_json()) == before
    assert list(now(project).changes(before)) == []


def test_every_change_is_said(project: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = now(project)
    exercise = project / "handbook" / "exercises" / "low-tide.md"
    exercise.write_text(exercise.read_text("utf-8") + "More.\n", "utf-8")
    (project / "handbook" / "chorus.yml").unlink()
    (project / "handbook" / "notes.md").write_text("# Notes\n", "utf-8")
    (project / "mkdocs.yml").write_text("site_name: Other\n", "utf-8")
    monkeypatch.setattr(inputs, "program", lambda: "another")
    after = replace(now(project), date="1", options="with tracks")
    assert list(after.changes(before)) == [
        "handbook/chorus.yml is gone",
        "handbook/exercises/low-tide.md has changed",
        "handbook/notes.md is new",
        "mkdocs.yml has changed",
        "the program, or a library beside it, has changed",
        "the date of the newest change is another",
        "the site is asked for in another way",
    ]


@pytest.mark.parametrize("data", [b"", b"[]", b"{}", b"null", b'{"files": 1}', b"\xff"])
def test_what_is_no_list_of_inputs_is_of_no_use(data: bytes) -> None:
    assert Inputs.from_json(data) is None


def test_links_that_lead_nowhere_and_pipes_do_no_harm(project: Path) -> None:
    root = project / "handbook"
    before = now(project)
    (root / "nowhere").symlink_to(root / "missing")
    os.mkfifo(root / "pipe")
    assert list(now(project).changes(before)) == ["handbook/nowhere is new", "handbook/pipe is new"]
