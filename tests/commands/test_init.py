"""`handbook init`: where it begins a handbook, where it refuses, and nothing half-written."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from chorus_handbook.commands import init, staging
from chorus_handbook.starters import handbook as starters
from chorus_handbook.starters.handbook import Choice, NewHandbook

Run = Callable[..., tuple[int, str, str]]
FLAGS = ("--name", "Ours", "--singers", "mixed", "--stock", "one")
FILES = [".gitignore", "handbook", "mkdocs.yml"]


@pytest.fixture(scope="module")
def composed() -> NewHandbook:
    from datetime import date

    return starters.compose(Choice("Ours", "mixed", (), "one"), date(2026, 9, 3))


@pytest.fixture(autouse=True)
def quick(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[list[Any]]:
    """Handbooks are put together in `tests/starters`; here one will do for all. Collects what was
    asked for."""
    asked: list[Any] = []
    made: NewHandbook = request.getfixturevalue("composed")

    def compose(choice: Choice, _: object) -> NewHandbook:
        asked.append(choice)
        return made

    monkeypatch.setattr(init, "compose", compose)
    yield asked


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_new_folder_gets_everything(tmp_path: Path, handbook: Run) -> None:
    code, out, err = handbook("init", tmp_path / "new" / "ours", *FLAGS)
    assert (code, out) == (0, f"{tmp_path / 'new' / 'ours' / 'handbook'}\n")
    assert names(tmp_path / "new" / "ours") == FILES
    assert (
        "1. See it in your browser" in err
        and "2. Say who sings" in err
        and "3. Write an exercise" in err
    )
    code, out, _ = handbook("--project", tmp_path / "new" / "ours", "check", "--strict")
    assert (code, out) == (0, "")


def test_an_empty_folder_stays_the_folder_it_was(
    tmp_path: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shell that stands in it goes on standing in it."""
    monkeypatch.chdir(tmp_path)
    before = tmp_path.stat().st_ino
    assert handbook("init", *FLAGS)[0] == 0
    assert tmp_path.stat().st_ino == before and names(tmp_path) == FILES


def test_version_control_and_environments_do_not_count(tmp_path: Path, handbook: Run) -> None:
    (tmp_path / ".git").mkdir()
    (tmp_path / ".venv").mkdir()
    (tmp_path / ".gitignore").write_text("mine\n", "utf-8")
    assert handbook("init", tmp_path, *FLAGS)[0] == 0
    assert (tmp_path / ".gitignore").read_text("utf-8") == "mine\n"


@pytest.mark.parametrize("name", ["handbook/chorus.yml", "chorus.yml", "mkdocs.yml"])
def test_a_folder_with_a_handbook_is_refused(tmp_path: Path, handbook: Run, name: str) -> None:
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_text("mine", "utf-8")
    code, _, err = handbook("init", tmp_path, *FLAGS, "--not-empty")
    assert code == 2 and "exists already" in err and "init DIR" in err
    assert (tmp_path / name).read_text("utf-8") == "mine" and len(names(tmp_path)) == 1


def test_other_files_are_asked_about_and_never_touched(tmp_path: Path, handbook: Run) -> None:
    (tmp_path / "scores.pdf").write_bytes(b"mine")
    code, _, err = handbook("init", tmp_path, *FLAGS)
    assert code == 2 and "scores.pdf" in err and "--not-empty" in err
    assert names(tmp_path) == ["scores.pdf"]
    assert handbook("init", tmp_path, *FLAGS, "--not-empty")[0] == 0
    assert (tmp_path / "scores.pdf").read_bytes() == b"mine"


def test_a_file_in_place_of_the_folder_is_one_line(tmp_path: Path, handbook: Run) -> None:
    (tmp_path / "file").write_text("mine", "utf-8")
    for path in (tmp_path / "file", tmp_path / "file" / "below"):
        code, _, err = handbook("init", path, *FLAGS)
        assert code in (1, 2) and len(err.strip().splitlines()) <= 2 and "Traceback" not in err


def test_a_dry_run_writes_nothing(tmp_path: Path, handbook: Run) -> None:
    code, out, err = handbook("init", tmp_path / "new", *FLAGS, "--dry-run")
    assert code == 0 and "Nothing was written" in err
    assert f"{tmp_path / 'new' / 'handbook' / 'chorus.yml'}" in out.splitlines()
    assert names(tmp_path) == []


def test_what_is_left_out_is_listed_with_the_reason(
    tmp_path: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    voice = ("--voice", "Alto F3 to D5", "--voice", "Tenor C3 to A4")
    code, _, err = handbook("init", tmp_path, "--name", "Two", *voice, "--stock", "everyday")
    assert code == 0
    assert "because they have more parts than this chorus has voices:\n  " in err
    assert "\n  Scale into a chord (dropping-anchor)\n" in err
    assert "  Alto: F3 to D5, treble clef, sings unison in the octave of women" in err
    assert (
        "  Tenor: C3 to A4, treble clef with an 8 below, sings unison in the octave of men" in err
    )


# -- what is asked ---------------------------------------------------------------------------


def test_what_no_flag_says_is_named_where_nobody_can_be_asked(
    tmp_path: Path, handbook: Run
) -> None:
    code, _, err = handbook("init", tmp_path)
    assert code == 2 and "--name, --singers, --stock" in err
    code, _, err = handbook("init", tmp_path, "--name", "Ours", "--voice", "Alto")
    assert code == 2 and "--stock" in err


def test_questions_are_answered_at_the_keyboard(
    tmp_path: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch, quick: list[Choice]
) -> None:
    given = ["High A3 to A4", "", "what", "n", "High A3 to A5", "y"]
    said = iter(["", "Our Four", "trio", "own", "High A3 to A5, Low", *given])
    monkeypatch.setattr(sys, "stdin", open(os.devnull))  # noqa: PTH123, SIM115
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda _: next(said))
    code, _, err = handbook("init", tmp_path)
    assert code == 0 and "write the name" in err and "one of these words: mixed" in err
    assert 'Low": write a name and two notes' in err
    (choice,) = quick
    assert (choice.name, choice.kind, choice.amount) == ("Our Four", None, "everyday")
    assert [voice.label for voice in choice.voices] == ["High"]


@pytest.mark.parametrize(
    ("flags", "message"),
    [
        (("--name", " "), "write the name"),
        (("--name", "x" * 81), "80 letters"),
        (("--name", "a\u202eb"), "invisible"),
        (("--name", "a\nb"), "one line"),
        (("--voice", "Alto D5 to F3"), "D5 is not lower than F3"),
        (("--voice", "Alto F3 to D5", "--singers", "mixed"), "do not go together"),
    ],
)
def test_what_a_flag_says_wrongly_is_refused(
    tmp_path: Path, handbook: Run, flags: tuple[str, ...], message: str
) -> None:
    rest = () if "--name" in flags else ("--name", "Ours")
    who = ("--singers", "mixed") if "--name" in flags else ()
    code, _, err = handbook("init", tmp_path, *rest, *who, "--stock", "one", *flags)
    assert code == 2 and message in err and names(tmp_path) == []


# -- nothing half-written --------------------------------------------------------------------


@pytest.mark.parametrize("when", [1, 5, 9])
def test_a_full_disk_half_way_leaves_nothing(
    tmp_path: Path, handbook: Run, monkeypatch: pytest.MonkeyPatch, when: int
) -> None:
    write, count = Path.write_bytes, iter(range(1, 100))

    def full(path: Path, data: bytes) -> int:
        if next(count) >= when:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))
        return write(path, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    code, out, err = handbook("init", tmp_path / "new", *FLAGS)
    assert (code, out) == (1, "") and "disk is full" in err
    assert names(tmp_path) == []


@pytest.mark.parametrize("failure", [OSError(errno.EIO, "broken"), KeyboardInterrupt()])
@pytest.mark.parametrize("step", ["write_new", "publish"])
def test_a_failure_at_the_end_leaves_what_was_there(
    tmp_path: Path,
    handbook: Run,
    monkeypatch: pytest.MonkeyPatch,
    failure: BaseException,
    step: str,
) -> None:
    def fails(*_: object) -> None:
        raise failure

    if step == "publish":
        monkeypatch.setattr(staging.Staging, "publish", fails)
    else:
        monkeypatch.setattr(init, "write_new", fails)
    (tmp_path / ".git").mkdir()
    code, _, _ = handbook("init", tmp_path, *FLAGS)
    assert code in (1, 130) and names(tmp_path) == [".git"]


def test_what_a_killed_one_left_is_cleared_by_the_next(tmp_path: Path, handbook: Run) -> None:
    """Killed just before the handbook was moved to its place: its folder, without a lock, and the
    files outside are there."""
    assert handbook("init", tmp_path, *FLAGS)[0] == 0
    left = tmp_path / ".handbook-left"
    left.mkdir()
    (left / "handbook-build.txt").write_text("handbook\n", "utf-8")
    (tmp_path / "handbook").rename(left / "new")
    code, _, err = handbook("init", tmp_path, *FLAGS)
    assert code == 0, err
    assert names(tmp_path) == FILES
