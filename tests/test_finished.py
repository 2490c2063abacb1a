"""A finished handbook from the store: the same, and never that of another state."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from chorus_handbook import finished
from chorus_handbook.cache import Cache
from chorus_handbook.finished import finish, state, stored

Run = Callable[..., tuple[int, str, str]]


def test_what_was_kept_is_what_was_made(drawn_demo: tuple[Path, Cache]) -> None:
    root, cache = drawn_demo
    made = finish(root, cache)
    kept = stored(root, state(root), cache)
    assert made.site is not None and not made.broken
    assert kept == made


@pytest.fixture
def told(project: Path, tmp_path: Path) -> Callable[[], list[str]]:
    """Finishes the project; the stages that this took."""

    def stages() -> list[str]:
        heard: list[str] = []
        finish(project / "handbook", Cache(tmp_path / "store"), tell=heard.append)
        return heard

    assert "site" in stages()
    return stages


def test_while_nothing_changes_no_stage_runs(told: Callable[[], list[str]]) -> None:
    assert told() == []


@pytest.mark.parametrize(
    "name, text",
    [("exercises/low-tide.md", ""), ("pictures/a.png", "x"), ("index.md", "# Welcome\n")],
)
def test_any_other_file_or_content_is_another_state(
    name: str, text: str, project: Path, told: Callable[[], list[str]]
) -> None:
    file = project / "handbook" / name
    file.parent.mkdir(exist_ok=True)
    before = file.read_text(encoding="utf-8") if file.exists() else ""
    file.write_text(before.replace("Hum it", "Sing it") + text, encoding="utf-8")
    assert "site" in told()


@pytest.mark.parametrize("changed", ["_LIBRARIES", "_PACKAGE"])
def test_another_program_is_another_state(
    changed: str,
    tmp_path: Path,
    told: Callable[[], list[str]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (tmp_path / "empty").mkdir()
    monkeypatch.setattr(
        finished, changed, {"_LIBRARIES": (), "_PACKAGE": tmp_path / "empty"}[changed]
    )
    assert "site" in told()


@pytest.mark.parametrize("damage", [b"", b"x", b"\n", b'{"state": 1}\n', b"[]\n", b"null\n"])
def test_what_is_no_record_is_not_used(damage: bytes, project: Path, tmp_path: Path) -> None:
    root, cache = project / "handbook", Cache(tmp_path / "store")
    cache.put(finished._name(root), damage)
    assert finish(root, cache).site is not None


def test_errors_are_never_kept(project: Path, tmp_path: Path) -> None:
    root, cache = project / "handbook", Cache(tmp_path / "store")
    file = root / "exercises" / "low-tide.md"
    file.write_text(file.read_text("utf-8").replace("impact: 2", "impact: 9"), "utf-8")
    assert finish(root, cache).broken
    assert finish(root, cache).site is None
    assert stored(root, state(root), cache) is None


def test_strict_refuses_what_was_kept_with_notices(project: Path, tmp_path: Path) -> None:
    root, cache = project / "handbook", Cache(tmp_path / "store")
    file = root / "exercises" / "low-tide.md"
    file.write_text(
        file.read_text("utf-8").replace("minutes: 2", "minutes: 2\npasses: 20"), "utf-8"
    )
    lenient = finish(root, cache)
    assert lenient.site is not None and lenient.problems
    strict = finish(root, cache, strict=True)
    assert strict.site is None and strict.problems == lenient.problems


def test_a_link_that_leads_nowhere_and_a_pipe_do_no_harm(project: Path) -> None:
    root = project / "handbook"
    before = state(root)
    (root / "nowhere").symlink_to(root / "missing")
    os.mkfifo(root / "pipe")
    assert state(root) != before


def test_a_warm_build_imports_nothing_heavy(project: Path) -> None:
    script = (
        "import sys\n"
        "from chorus_handbook.cli import main\n"
        f"assert main(['--project', {str(project)!r}, 'build']) == 0\n"
        "heavy = 'verovio music21 numpy soundfile matplotlib fontTools lxml pydantic'.split()\n"
        "print(*sorted({*heavy, 'chorus_handbook.pipeline'} & set(sys.modules)))\n"
    )
    sites = []
    for heavy in (True, False):
        done = subprocess.run(
            [sys.executable, "-c", script], capture_output=True, text=True, check=True
        )
        assert bool(done.stdout.split()) == heavy, done.stdout
        files = sorted(path for path in (project / "site").rglob("*") if path.is_file())
        sites.append([(path.name, path.read_bytes()) for path in files])
    assert sites[0] == sites[1]
