"""A build that is killed at any step: the site stays whole, and nothing of anybody's is lost.

The builds here write a few small files in place of pages, and run in processes that are really
killed (`killing.py`).
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from chorus_handbook.commands import staging as staging_module
from chorus_handbook.commands.staging import clear_left_behind, staging
from chorus_handbook.records.manifest import SITE_FILES, write_manifest
from killing import KILLED, Killing, build, put

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="kills forked processes")

THEIRS = {
    ".git/config": "[core]",
    ".git/objects/ab/cd": "blob",
    ".nojekyll": "",
    ".well-known/acme/token": "a token of the host",
}
OLD = {"index.html": "old", "exercises/gone/index.html": "gone", ".well-known/security.txt": "one"}
NEW = {"index.html": "new", "exercises/come/index.html": "come", ".well-known/security.txt": "two"}


def files_of(folder: Path) -> dict[str, str]:
    """Every file below a folder by its path, without the list of them."""
    found = {p.relative_to(folder).as_posix(): p for p in folder.rglob("*") if p.is_file()}
    return {name: path.read_text() for name, path in found.items() if name != SITE_FILES}


@pytest.fixture(params=[True, False], ids=["one step", "two renames"])
def one_step(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    if not request.param:
        monkeypatch.setattr(staging_module, "_in_one_step", lambda *_: False)
    return bool(request.param)


@pytest.fixture(scope="module")
def killing() -> Iterator[Killing]:
    with closing(Killing()) as process:
        yield process


@pytest.fixture
def target(tmp_path: Path) -> Path:
    """A site that was built, and in which a host and version control have put files of theirs."""
    folder = tmp_path / "site"
    build(folder, OLD)
    put(folder, THEIRS)
    put(tmp_path, {"letter.txt": "not a site"})
    return folder


def beside(target: Path) -> set[str]:
    return {path.name for path in target.parent.iterdir()} - {target.name}


def whole(target: Path, files: dict[str, str]) -> bool:
    """Whether a site has all files of a build and none of the other's."""
    found = files_of(target)
    other = {**OLD, **NEW}.keys() - files.keys()
    return all(found.get(name) == text for name, text in files.items()) and not other & found.keys()


@pytest.mark.usefixtures("one_step")
def test_a_build_replaces_what_is_ours_and_carries_over_what_is_not(
    target: Path,
) -> None:
    assert build(target, NEW) == []
    assert files_of(target) == {**NEW, **THEIRS}
    assert beside(target) == {"letter.txt"}


def test_the_next_build_puts_right_whatever_step_a_build_was_killed_at(
    target: Path, one_step: bool, tmp_path: Path, killing: Killing
) -> None:
    steps = homeless = 0
    while True:
        steps += 1
        if not killing.killed_at(steps, target, NEW, one_step=one_step):
            break
        if target.exists():
            assert whole(target, OLD) or whole(target, NEW), steps
        else:  # between two renames: the old site is whole where the next build finds it
            assert not one_step
            homeless += 1
            (old,) = tmp_path.glob(".site-*/old")
            assert files_of(old) == {**OLD, **THEIRS}
        everywhere = [text for text in files_of(tmp_path).values() if text in THEIRS.values()]
        assert {*everywhere} >= {*THEIRS.values()}, steps
        if steps % 2:  # it may fail or be refused: then the old site is back nevertheless
            assert clear_left_behind(target) == []
            assert files_of(target) in ({**OLD, **THEIRS}, {**NEW, **THEIRS}), steps
        assert build(target, OLD) == []
        assert files_of(target) == {**OLD, **THEIRS}, steps
        assert beside(target) == {"letter.txt"}, steps
    assert steps > 20
    assert homeless == (0 if one_step else 1)


def test_clearing_up_may_be_killed_too(target: Path, one_step: bool, killing: Killing) -> None:
    first = 0
    while True:
        first += 2  # the square of all steps would take long
        if not killing.killed_at(first, target, NEW, one_step=one_step):
            break
        again = 0
        while killing.killed_at(again := again + 1, target, None, one_step=one_step):
            pass
        assert files_of(target) in ({**OLD, **THEIRS}, {**NEW, **THEIRS}), (first, again)
        assert beside(target) == {"letter.txt"}, (first, again)
        build(target, OLD)


def test_a_killed_first_build_leaves_nothing(tmp_path: Path, killing: Killing) -> None:
    target, step = tmp_path / "out" / "site", 0
    while killing.killed_at(step := step + 1, target, NEW):
        assert not target.exists() or whole(target, NEW), step
        clear_left_behind(target)
        assert not target.parent.exists() or not beside(target)
        if target.exists():
            clear_away(target)
    assert files_of(target) == NEW


def clear_away(folder: Path) -> None:
    for path in sorted(folder.rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()
    folder.rmdir()


def killed_after_the_exchange(target: Path, killing: Killing) -> Path:
    """Let a build be killed between exchange and carrying over; returns its folder."""
    step = 0
    while killing.killed_at(step := step + 1, target, NEW):
        if whole(target, NEW):
            (folder,) = target.parent.glob(".site-*")
            assert (folder / "new" / ".git" / "config").exists()
            return folder
        build(target, OLD)
    raise AssertionError("never between the two")


def test_two_things_of_the_same_name_are_both_kept(target: Path, killing: Killing) -> None:
    folder = killed_after_the_exchange(target, killing)
    put(target, {".git/config": "another repository", ".nojekyll": "", "notes.txt": "by hand"})
    for _ in range(2):  # and told again until someone has looked
        left = clear_left_behind(target)
        assert left == [folder / "new" / ".git"]
        assert (folder / "new" / ".git" / "config").read_text() == "[core]"
        assert (target / ".git" / "config").read_text() == "another repository"
        assert (target / "notes.txt").read_text() == "by hand"
        assert (target / ".well-known" / "acme" / "token").exists()
    clear_away(folder / "new" / ".git")
    assert clear_left_behind(target) == []
    assert beside(target) == {"letter.txt"}


def test_a_site_that_was_taken_away_meanwhile_comes_back_with_what_is_not_ours(
    target: Path, killing: Killing
) -> None:
    killed_after_the_exchange(target, killing)
    target.rename(target.with_name("aside"))
    assert clear_left_behind(target) == []
    assert files_of(target) == {**OLD, **THEIRS}


def test_what_came_into_the_old_site_at_the_last_moment_is_moved(target: Path) -> None:
    with staging(target) as stage:
        put(stage.new, NEW)
        write_manifest(stage.new, NEW)
        put(target, {"late.txt": "late", "exercises/gone/index.html": "edited"})
        put(target, {"index.html": "edited"})
        stage.publish()
        left = stage.clear()
        assert left == [stage.new / "index.html"]
        assert left[0].read_text() == "edited"
    assert left[0].read_text() == "edited"  # not deleted at the end either
    found = files_of(target)
    assert found["index.html"] == "new"
    assert (found["late.txt"], found["exercises/gone/index.html"]) == ("late", "edited")


# -- what is not ours to clear ------------------------------------------------------------


def test_only_what_we_made_is_cleared(target: Path, tmp_path: Path) -> None:
    put(tmp_path, {".site-mine/page": "mine", ".site-x/handbook-build.txt": "another\nthing"})
    put(tmp_path, {".site-z/handbook-build.txt": "site-z\n", ".site-z/new/page": "of site-z"})
    put(tmp_path, {".site-y/handbook-build.txt": "", ".site-y/page": "mine"})
    (tmp_path / ".site-link").symlink_to(tmp_path / ".site-mine")
    put(tmp_path, {".site-file": "a file"})
    before = files_of(tmp_path)
    assert build(target, OLD) == []
    assert files_of(tmp_path) == before
    assert (tmp_path / ".site-link").is_symlink()


def test_a_build_that_lives_is_left_alone(target: Path) -> None:
    with staging(target) as stage:
        put(stage.new, NEW)
        assert clear_left_behind(target) == []
        assert build(target, OLD) == []
        write_manifest(stage.new, NEW)
        stage.publish()
    assert files_of(target) == {**NEW, **THEIRS}
    assert beside(target) == {"letter.txt"}


@pytest.mark.usefixtures("one_step")
def test_many_builds_at_once_lose_nothing(target: Path) -> None:
    children = []
    for number in range(4):
        child = os.fork()
        if child == 0:
            try:
                for _ in range(8):
                    build(target, NEW if number % 2 else OLD)
            except BaseException:
                os._exit(1)
            os._exit(0)
        children.append(child)
    assert [os.waitstatus_to_exitcode(os.waitpid(c, 0)[1]) for c in children] == [0] * 4
    assert files_of(target) in ({**OLD, **THEIRS}, {**NEW, **THEIRS})
    assert beside(target) == {"letter.txt"}


def test_builds_that_cannot_lock_the_folder_lose_nothing(
    target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(staging_module, "_lock", lambda *_, **__: None)
    with staging(target) as other:
        put(other.new, NEW)
        write_manifest(other.new, NEW)
        with staging(target) as stage:
            put(stage.new, NEW)
            write_manifest(stage.new, NEW)
            stage.publish()
            other.publish()  # before the first has carried anything over
            assert not (target / ".git").exists()
            assert other.clear() == []
            assert stage.clear() == []
    assert files_of(target) == {**NEW, **THEIRS}


# -- what the system refuses --------------------------------------------------------------


def test_a_failed_exchange_leaves_the_old_site(
    target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Path) -> None:
        raise OSError(28, "No space left on device", "x")

    monkeypatch.setattr(staging_module, "exchange", refuse)
    with pytest.raises(OSError, match="No space"):
        build(target, NEW)
    assert files_of(target) == {**OLD, **THEIRS}
    assert beside(target) == {"letter.txt"}


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(folder)]
    if os.geteuid() or subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no small disk can be mounted here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_leaves_the_old_site(small_disk: Path) -> None:
    target = small_disk / "site"
    build(target, OLD)
    put(target, THEIRS)
    with pytest.raises(OSError, match="No space"):
        build(target, {**NEW, "large.bin": "x" * 300_000})
    assert files_of(target) == {**OLD, **THEIRS}
    assert beside(target) == set()
    (small_disk / "filler").write_bytes(b"x" * 4096)
    assert build(target, NEW) == []
    assert files_of(target) == {**NEW, **THEIRS}


def test_a_build_that_is_interrupted_leaves_nothing(target: Path) -> None:
    def interrupted() -> None:
        with staging(target) as stage:
            put(stage.new, NEW)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert files_of(target) == {**OLD, **THEIRS}
    assert beside(target) == {"letter.txt"}


def test_a_site_that_was_read_only_is_cleared_all_the_same(
    target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(new: Path, *_: Path) -> None:
        assert not new.stat().st_mode & 0o200
        raise PermissionError(13, "Permission denied", "x")

    target.chmod(0o555)
    monkeypatch.setattr(staging_module, "exchange", refuse)
    with pytest.raises(PermissionError):
        build(target, NEW)
    assert beside(target) == {"letter.txt"}


def test_what_cannot_be_cleared_after_the_exchange_does_not_undo_it(
    target: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Path) -> list[Path]:
        raise PermissionError(13, "Permission denied", "x")

    with monkeypatch.context() as patched:
        patched.setattr(staging_module, "move_back", refuse)
        (folder,) = build(target, NEW)
    assert whole(target, NEW) and (folder / "new" / ".git").is_dir()
    assert build(target, OLD) == []
    assert files_of(target) == {**OLD, **THEIRS}
    assert beside(target) == {"letter.txt"}


def test_who_may_read_the_old_site_may_read_the_new(target: Path) -> None:
    target.chmod(0o2751)
    build(target, NEW)
    assert target.stat().st_mode & 0o7777 == 0o2751


# -- the command itself -------------------------------------------------------------------

_KILLS_ITSELF = """
import os, re, signal, sys
when, arguments = re.compile(sys.argv[1]), sys.argv[2:]
def hook(event, details):
    if event.startswith(("os.", "open", "shutil.")) and when.search(f"{event} {details}"):
        os.kill(os.getpid(), signal.SIGKILL)
from chorus_handbook.cli import main
sys.addaudithook(hook)
sys.exit(main(arguments))
"""


@pytest.mark.parametrize(
    "when",
    [
        r"open .*/new/404\.html",  # while MkDocs writes
        r"os\.link .*/new/exercises/low-tide/index\.html",  # what both sites have
        r"open .*/new/assets/handbook/site-files\.json'\)?, 'w",
        r"open .*/exchanging'",
        r"os\.remove .*/new/index\.html",  # the old site, exchanged
        r"os\.rename .*/new/\.git'",
        r"os\.remove .*/new/assets/handbook/site-files\.json",
        r"os\.remove .*/handbook-build\.txt",
    ],
)
def test_the_command_itself_may_be_killed(
    project: Path,
    handbook: Callable[..., tuple[int, str, str]],
    when: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    assert handbook("--project", project, "build")[0] == 0
    site = project / "site"
    put(site, {".git/config": "[core]"})
    before = {p: p.read_bytes() for p in site.rglob("*") if p.is_file()}
    done = subprocess.run(
        [sys.executable, "-c", _KILLS_ITSELF, when, "--project", str(project), "build", "--strict"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == KILLED, done.stderr
    (page,) = site.glob("exercises/low-tide/index.html")
    assert page.read_bytes() == before[page]
    for more in ([], ["--strict"]):  # nothing is to be built, though to be cleared; and a build
        code, _, err = handbook("--project", project, "build", *more)
        assert code == 0, err
        assert ("Nothing has changed" in err) == (more == [])
        assert {p: p.read_bytes() for p in site.rglob("*") if p.is_file()} == before
        assert [p.name for p in project.iterdir() if re.match(r"\.site-", p.name)] == []
