"""The same request has the same suggestion in every process, and what is not proven says how far
off it may be."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from random import Random

from checked import Checked
from chorus_handbook.warmups.suggesting import model_of
from chorus_handbook.warmups.suggesting.solver import solve
from chorus_handbook.warmups.suggesting.worth import Season
from suggested_stocks import ALL_THERE, drawn, request, stock

WORDS = ("suggest", "--dry-run", "--date", "2126-12-12", "--minutes", "15", "--lead-into", "tuning")
PROGRAM = "import sys; from chorus_handbook.cli import main; sys.exit(main())"


def test_another_process_suggests_the_same(
    demo: Checked, demo_project: Path, handbook: Callable[..., tuple[int, str, str]]
) -> None:
    assert not demo.broken  # its records are made by now
    code, out, err = handbook("--project", demo_project, *WORDS)
    assert code == 0 and "\n  - exercise: " in out
    assert "no other choice of exercises is better" in err
    hashing = "1" if os.environ.get("PYTHONHASHSEED") != "1" else "2"
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, "--project", str(demo_project), *WORDS],
        env={**os.environ, "PYTHONHASHSEED": hashing},
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    assert (done.stdout, done.stderr) == (out, err)


def test_work_is_limited_by_nodes_and_the_gap_is_stated() -> None:
    program = model_of(
        *(request(12, "tuning", "blend"), stock(), drawn(25, Random(0)), ALL_THERE, Season())
    ).program
    best, early = solve(program), solve(program, nodes=1)
    assert best and early and best.proven and best.gap == 0
    assert early.worth <= best.worth <= early.bound
    assert early.gap * early.worth >= best.worth - early.worth
    assert solve(program, nodes=1) == early
