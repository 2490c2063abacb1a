"""Whole processes, measured by what the system accounts to them."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Cost:
    """CPU and wall-clock seconds of one process and its children."""

    cpu: float
    wall: float


def run(arguments: Sequence[str], folder: Path) -> Cost:
    """Run a Python module or script as a process of its own. Raises RuntimeError if it fails."""
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=folder,
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
    return Cost(usage.ru_utime + usage.ru_stime, time.perf_counter() - start)


def median(measure: Callable[[], Cost], times: int) -> Cost:
    """The median of several runs, CPU and wall each for itself."""
    costs = [measure() for _ in range(times)]
    return Cost(
        statistics.median(cost.cpu for cost in costs),
        statistics.median(cost.wall for cost in costs),
    )
