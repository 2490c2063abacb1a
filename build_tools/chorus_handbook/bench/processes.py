"""Measures CPU time, wall-clock time and memory of whole processes."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

#: A program that starts a process and prints the time and memory that the system measured for it.
#: The system counts the memory of the program that starts a process as used by that process, too.
#: So the benchmark itself, which is large, must not start it; this program is small.
_STARTER = """
import os, resource, subprocess, sys, time
start = time.perf_counter()
code = subprocess.call(sys.argv[1:], stdout=subprocess.DEVNULL)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(used.ru_utime + used.ru_stime, time.perf_counter() - start, used.ru_maxrss << 10)
sys.exit(code)
"""

#: If this environment variable is set, Python does not store the modules that it compiles.
_NOT_COMPILED = "PYTHONDONTWRITEBYTECODE"


@dataclass(frozen=True, slots=True)
class Cost:
    """CPU and wall-clock seconds of one process with its children, and the most memory that any of
    them used, in bytes."""

    cpu: float
    wall: float
    memory: int = 0

    def __add__(self, other: Cost) -> Cost:
        """The cost of two runs, one after the other."""
        return Cost(self.cpu + other.cpu, self.wall + other.wall, max(self.memory, other.memory))


def run(arguments: Sequence[str], folder: Path, environment: Mapping[str, str] = {}) -> Cost:
    """Run Python with these arguments in a new process, in `folder`, with these variables added to
    the environment. Raises RuntimeError if it fails."""
    done = subprocess.run(
        [sys.executable, "-S", "-E", "-c", _STARTER, sys.executable, *arguments],
        cwd=folder,
        env={**_as_installed(os.environ), **environment},
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"{arguments}: {done.stderr[-2000:]}")
    cpu, wall, memory = done.stdout.split()
    return Cost(float(cpu), float(wall), int(memory))


def _as_installed(environment: Mapping[str, str]) -> dict[str, str]:
    """The environment without PYTHONDONTWRITEBYTECODE, so that Python compiles the modules of the
    program only once, as if it were installed."""
    return {name: value for name, value in environment.items() if name != _NOT_COMPILED}


def medians(measures: Mapping[str, Callable[[], Cost]], times: int) -> dict[str, Cost]:
    """The median cost of several runs of each measure, separately for CPU and wall-clock time. The
    measures take turns, so that a busy moment of the machine slows all of them."""
    costs: dict[str, list[Cost]] = {name: [] for name in measures}
    for _ in range(times):
        for name, measure in measures.items():
            costs[name].append(measure())
    return {
        name: Cost(
            statistics.median(cost.cpu for cost in runs),
            statistics.median(cost.wall for cost in runs),
            max(cost.memory for cost in runs),
        )
        for name, runs in costs.items()
    }
