"""Measures how long `handbook serve` takes to show a saved change in the page."""

from __future__ import annotations

import contextlib
import re
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

#: How many seconds to wait for a page before giving up.
_PATIENCE = 300.0
#: The paragraph that the last edit inserted.
_MARK = re.compile(r"\n\nchanged\d+\n")
#: Arguments of Python that start the two servers; an address follows.
_SERVE = ["-m", "chorus_handbook.bench.command", "serve", "--address"]
_SERVE_PLAIN = ["-m", "mkdocs", "serve", "--dev-addr"]


def report_reload(place: Path, times: int) -> None:
    """Print how long `handbook serve` takes to show a change, compared with `mkdocs serve`: the
    medians of `times` changes. `place` has the two projects, in the folders `ours` and `plain`.
    The two servers take turns, so that a busy moment of the machine slows both."""
    exercise = next(
        file for file in notated(place / "ours") if HEADING in file.read_text(encoding="utf-8")
    )
    taken: dict[str, list[float]] = {"ours": [], "plain": []}
    with contextlib.ExitStack() as servers:
        urls = {}
        for name, arguments in (("ours", _SERVE), ("plain", _SERVE_PLAIN)):
            port = free_port()
            address, page = [*arguments, f"127.0.0.1:{port}"], f"exercises/{exercise.stem}/"
            urls[name] = servers.enter_context(served(address, place / name, port, page))
        for _ in range(times):
            for name, url in urls.items():
                source = place / name / "handbook" / "exercises" / exercise.name
                taken[name].append(seconds_to_reload(url, source, HEADING))
                time.sleep(1.0)  # let the watcher settle, so that the next edit is a new one
    ours, plain = (Cost(0, statistics.median(seconds)) for seconds in taken.values())
    print_ratio("edit to reload / plain mkdocs serve", ours, plain)


@contextlib.contextmanager
def served(arguments: Sequence[str], folder: Path, port: int, page: str) -> Iterator[str]:
    """Run a server during the `with` block, which begins when the server answers. Gives the address
    of the page."""
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


def seconds_to_reload(url: str, source: Path, anchor: str) -> float:
    """Write a new text after `anchor` in the source file, in place of the last one written there,
    and measure the seconds until it is in the page."""
    mark = f"changed{time.monotonic_ns()}"
    text = source.read_text(encoding="utf-8")
    before, _, after = text.partition(anchor)
    after = _MARK.sub("", after)
    source.write_text(f"{before}{anchor}\n\n{mark}\n{after}", encoding="utf-8")
    start = time.perf_counter()
    _wait_for(url, mark)
    return time.perf_counter() - start


def free_port() -> int:
    """The number of a TCP port that no program is listening on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def _wait_for(url: str, mark: str) -> None:
    """Wait until the page at `url` contains `mark`. Raises RuntimeError after `_PATIENCE`."""
    deadline = time.monotonic() + _PATIENCE
    while time.monotonic() < deadline:
        with contextlib.suppress(OSError), urllib.request.urlopen(url, timeout=_PATIENCE) as answer:
            if mark in answer.read().decode("utf-8", "replace"):
                return
        time.sleep(0.02)
    raise RuntimeError(f"{url} never showed the change")
