"""What a site is made from, and what has changed of it."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest

from chorus_handbook.records import inputs
from chorus_handbook.records.inputs import Inputs, inputs_of, looks_of


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
    monkeypatch.setattr(inputs, "program_hash", lambda: "another")
    after = replace(now(project), date="1", options="with tracks")
    assert list(after.changes(before)) == [
        "handbook/chorus.yml was removed",
        "handbook/exercises/low-tide.md has changed",
        "handbook/notes.md is new",
        "mkdocs.yml has changed",
        "the program, or a library beside it, has changed",
        "the date of the newest change differs",
        "the options of the build differ",
    ]


@pytest.mark.parametrize("data", [b"", b"[]", b"{}", b"null", b'{"files": 1}', b"\xff"])
def test_what_is_no_list_of_inputs_is_of_no_use(data: bytes) -> None:
    assert Inputs.from_json(data) is None


def test_what_lies_behind_a_link_to_a_folder_is_not_known(project: Path) -> None:
    assert now(project).whole
    (project / "handbook" / "pictures").symlink_to(project)
    assert not now(project).whole


def test_a_link_is_told_apart_from_the_file(project: Path) -> None:
    file = project / "handbook" / "exercises" / "low-tide.md"
    before = now(project)
    file.rename(project / "elsewhere.md")
    file.symlink_to(project / "elsewhere.md")
    assert list(now(project).changes(before)) == ["handbook/exercises/low-tide.md has changed"]


def test_version_control_is_no_input_and_what_is_changed_back_looks_different(
    project: Path,
) -> None:
    root, config = project / "handbook", project / "mkdocs.yml"
    before = now(project), looks_of(root, config)
    (root / ".git").mkdir()
    (root / ".git" / "index").write_text("x")
    assert (now(project), looks_of(root, config)) == before
    file, text = root / "chorus.yml", (root / "chorus.yml").read_bytes()
    times = file.stat()
    file.write_bytes(b"")
    file.write_bytes(text)
    os.utime(file, ns=(times.st_atime_ns, times.st_mtime_ns))
    assert now(project) == before[0] and looks_of(root, config) != before[1]


def test_links_that_lead_nowhere_and_pipes_do_no_harm(project: Path) -> None:
    root = project / "handbook"
    before = now(project)
    (root / "nowhere").symlink_to(root / "missing")
    os.mkfifo(root / "pipe")
    assert list(now(project).changes(before)) == ["handbook/nowhere is new", "handbook/pipe is new"]
