"""Measures how time and memory grow with the number of exercises."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from itertools import count
from pathlib import Path

from chorus_handbook.bench.builds import (
    MKDOCS,
    build,
    build_after_change,
    editable_exercise,
    other_notes,
    other_text,
    prepare,
)
from chorus_handbook.bench.processes import Cost, run
from chorus_handbook.commands.project import Project

#: The columns of CPU time: what had changed before the build, and a build by plain MkDocs.
_BUILDS = ("cold", "notes", "text", "nothing", "plain")


def report_growth(project: Project, place: Path, sizes: Sequence[int]) -> None:
    """Build handbooks with these numbers of exercises, and print the time and memory of each build
    divided by the number of exercises.

    Each handbook is built once with empty caches ("cold"), once after the notes of an exercise have
    changed, once after its text has changed, and once with nothing changed; and once by MkDocs
    without our plugin ("plain").
    """
    print("Figures per exercise: CPU seconds of each build; the most memory that one of our builds")
    print("used, and that of plain MkDocs, in MB.")
    print(f"{'exercises':>9}", *(f"{name:>8}" for name in (*_BUILDS, "MB", "plain MB")))
    for exercises in sizes:
        here = place / str(exercises)
        here.mkdir()
        ours, plain = prepare(project, here, exercises)
        edited = editable_exercise(ours)
        costs: dict[str, Cost] = {"cold": build(ours, processes=2, cold=True)}
        costs["notes"] = build_after_change(ours, edited, other_notes, count(1))
        costs["text"] = build_after_change(ours, edited, other_text, count(1))
        costs["nothing"] = build(ours, processes=2)
        costs["plain"] = run(MKDOCS, plain)
        most = max(costs[name].memory for name in _BUILDS if name != "plain")
        row = [costs[name].cpu for name in _BUILDS] + [most / 1e6, costs["plain"].memory / 1e6]
        print(f"{exercises:9}", *(f"{value / exercises:8.3f}" for value in row), flush=True)
        shutil.rmtree(here)
