"""How time and memory grow with the stock."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

from chorus_handbook.bench.builds import MKDOCS, build, prepare
from chorus_handbook.bench.processes import Cost, run
from chorus_handbook.commands.project import Project


def report_growth(project: Project, place: Path, sizes: Sequence[int]) -> None:
    """Print time and memory an exercise for stocks of several sizes, each measured once."""
    print("CPU seconds and megabytes an exercise, and the same of plain MkDocs")
    print(f"{'exercises':>9} {'cold':>8} {'warm':>8} {'MB':>8} {'plain':>8} {'MB':>8}")
    for exercises in sizes:
        here = place / str(exercises)
        here.mkdir()
        ours, plain = prepare(project, here, exercises)
        cold = build(ours, 2, cold=True)
        warm = build(ours, 2)
        mkdocs = run(MKDOCS, plain)
        most = Cost(0, 0, max(cold.memory, warm.memory))
        told = (cold.cpu, warm.cpu, most.memory / 1e6, mkdocs.cpu, mkdocs.memory / 1e6)
        each = " ".join(f"{value / exercises:8.3f}" for value in told)
        print(f"{exercises:9} {each}", flush=True)
        shutil.rmtree(here)
