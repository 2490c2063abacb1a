"""Whole processes, measured by what the system accounts to them."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Cost:
    """CPU and wall-clock seconds of one process and its children, and the most memory that one of
    them held, in bytes."""

    cpu: float
    wall: float
    memory: int = 0

    def __add__(self, other: Cost) -> Cost:
        """One after the other."""
        return Cost(self.cpu + other.cpu, self.wall + other.wall, max(self.memory, other.memory))

    def __sub__(self, other: Cost) -> Cost:
        """What one costs beyond another that it does as well."""
        return Cost(self.cpu - other.cpu, self.wall - other.wall, self.memory)


def run(arguments: Sequence[str], folder: Path, environment: Mapping[str, str] = {}) -> Cost:
    """Run a Python module or script as a process of its own. Raises RuntimeError if it fails."""
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=folder,
        env={**os.environ, **environment},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )
    assert process.stderr is not None
    complaint = process.stderr.read()
    process.stderr.close()
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"{arguments}: {complaint.decode(errors='replace')[-2000:]}")
    wall = time.perf_counter() - start
    return Cost(usage.ru_utime + usage.ru_stime, wall, usage.ru_maxrss << 10)


def medians(measures: Mapping[str, Callable[[], Cost]], times: int) -> dict[str, Cost]:
    """The median of several runs of each kind, CPU and wall each for itself. The kinds take turns,
    so that a busy moment of the machine meets all of them."""
    costs: dict[str, list[Cost]] = {name: [] for name in measures}
    for _ in range(times):
        for name, measure in measures.items():
            costs[name].append(measure())
    return {
        name: Cost(
            statistics.median(cost.cpu for cost in found),
            statistics.median(cost.wall for cost in found),
            max(cost.memory for cost in found),
        )
        for name, found in costs.items()
    }
