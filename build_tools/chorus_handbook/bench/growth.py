"""Measures how time and memory grow with the number of exercises."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

from chorus_handbook.bench.builds import (
    MKDOCS,
    after,
    build,
    editable,
    other_notes,
    other_text,
    prepare,
)
from chorus_handbook.bench.processes import Cost, run
from chorus_handbook.commands.project import Project

_KINDS = ("cold", "notes", "text", "nothing", "plain")


def report_growth(project: Project, place: Path, sizes: Sequence[int]) -> None:
    """Print the time and memory for each exercise in stocks of several sizes. For each size it
    measures, once, a cold build; builds after a change of an exercise's notes, of its text, and of
    nothing; and a build by plain MkDocs."""
    print("CPU seconds an exercise; megabytes an exercise, at most, and those of plain MkDocs")
    print(f"{'exercises':>9}", *(f"{kind:>8}" for kind in (*_KINDS, "MB", "plain MB")))
    for exercises in sizes:
        here = place / str(exercises)
        here.mkdir()
        ours, plain = prepare(project, here, exercises)
        edited = editable(ours)
        costs: dict[str, Cost] = {"cold": build(ours, 2, cold=True)}
        costs["notes"] = after(ours, edited, other_notes)()
        costs["text"] = after(ours, edited, other_text)()
        costs["nothing"] = build(ours, 2)
        costs["plain"] = run(MKDOCS, plain)
        most = max(costs[kind].memory for kind in _KINDS if kind != "plain")
        row = [costs[kind].cpu for kind in _KINDS] + [most / 1e6, costs["plain"].memory / 1e6]
        print(f"{exercises:9}", *(f"{value / exercises:8.3f}" for value in row), flush=True)
        shutil.rmtree(here)
