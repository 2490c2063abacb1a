"""From saving a file to reading the change in the served page."""

from __future__ import annotations

import contextlib
import socket
import statistics
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator, Sequence
from pathlib import Path

from chorus_handbook.bench.builds import HEADING, print_ratio
from chorus_handbook.bench.processes import Cost
from chorus_handbook.bench.stock import notated

_PATIENCE = 60.0
_SERVE = ["-m", "chorus_handbook.bench.command", "serve", "--address"]
_SERVE_PLAIN = ["-m", "mkdocs", "serve", "--dev-addr"]


def report_reload(place: Path, times: int) -> None:
    """Print how long an edit takes to be seen in `handbook serve`, against `mkdocs serve`."""
    exercise = next(
        file for file in notated(place / "ours") if HEADING in file.read_text(encoding="utf-8")
    )
    seconds = []
    for name, arguments in (("ours", _SERVE), ("plain", _SERVE_PLAIN)):
        port, folder = free_port(), place / name
        address = [*arguments, f"127.0.0.1:{port}"]
        with served(address, folder, port, f"exercises/{exercise.stem}/") as url:
            source = folder / "handbook" / "exercises" / exercise.name
            seconds.append(seconds_to_reload(url, source, HEADING, times))
    print_ratio("edit to reload / plain mkdocs serve", Cost(0, seconds[0]), Cost(0, seconds[1]))


@contextlib.contextmanager
def served(arguments: Sequence[str], folder: Path, port: int, page: str) -> Iterator[str]:
    """A server process, from the moment it answers; gives the page's address."""
    process = subprocess.Popen(
        [sys.executable, *arguments],
        cwd=folder,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    url = f"http://127.0.0.1:{port}/{page}"
    try:
        _wait_for(url, "")
        yield url
    finally:
        process.terminate()
        process.wait(timeout=30)


def seconds_to_reload(url: str, source: Path, anchor: str, times: int) -> float:
    """The median of several edits: the text after `anchor` is changed and waited for."""
    taken = []
    for number in range(times):
        mark = f"changed{number}x{time.monotonic_ns()}"
        text = source.read_text(encoding="utf-8")
        source.write_text(text.replace(anchor, f"{anchor}\n\n{mark}\n", 1), encoding="utf-8")
        start = time.perf_counter()
        _wait_for(url, mark)
        taken.append(time.perf_counter() - start)
        time.sleep(1.0)  # let the watcher settle, so that the next edit is a new one
    return statistics.median(taken)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def _wait_for(url: str, mark: str) -> None:
    deadline = time.monotonic() + _PATIENCE
    while time.monotonic() < deadline:
        with contextlib.suppress(OSError), urllib.request.urlopen(url, timeout=_PATIENCE) as answer:
            if mark in answer.read().decode("utf-8", "replace"):
                return
        time.sleep(0.02)
    raise RuntimeError(f"{url} never showed the change")
