"""Watches the author's files for `handbook serve`, and asks for a build when one changes.

It replaces MkDocs's own watcher, which misses changes during the first build and stops for good
when a folder disappears for a moment.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterable, Mapping
from contextlib import suppress
from typing import Any

#: The shortest pause between two looks at all files, in seconds.
_PAUSE = 0.1
#: A pause is at least this many times as long as a look takes, so that looking costs about 3% CPU.
_PAUSE_PER_LOOK = 30

#: Maps the path of each file to its time of change in nanoseconds, its size in bytes and its inode.
Seen = Mapping[str, tuple[int, int, int]]


def look(paths: Iterable[str]) -> Seen:
    """The state of all files at these paths and in the folders at these paths. Missing files are
    left out."""
    seen: dict[str, tuple[int, int, int]] = {}
    for path in paths:
        files = [os.path.join(place, name) for place, _, names in os.walk(path) for name in names]  # noqa: PTH118
        for file in files or [path]:
            with suppress(OSError):
                status = os.stat(file)  # noqa: PTH116  (faster: there are many files)
                seen[file] = (status.st_mtime_ns, status.st_size, status.st_ino)
    return seen


class Watcher:
    """Asks MkDocs's server for a new build whenever a file differs from what was `seen` before. It
    has the methods that the server calls on its own observer, and watches the server's paths."""

    def __init__(self, server: Any, seen: Seen) -> None:
        self._server = server
        self._seen = seen
        self._stopped = threading.Event()
        self._thread = threading.Thread(target=self._watch, daemon=True)

    def start(self) -> None:
        # Paths that other plugins watch are in no earlier state: begin with their present one.
        self._seen = {**look(self._server._watched_paths), **self._seen}
        self._thread.start()

    def stop(self) -> None:
        self._stopped.set()

    def join(self) -> None:
        self._thread.join()

    def schedule(self, *_: object, **__: object) -> None:
        """Called by the server; does nothing, because the server's own list of paths is used."""

    def unschedule(self, _: object) -> None:
        """Called by the server; does nothing."""

    def _watch(self) -> None:
        pause = _PAUSE
        while not self._stopped.wait(pause):
            start = time.thread_time()
            seen = look(list(self._server._watched_paths))
            pause = max(_PAUSE, _PAUSE_PER_LOOK * (time.thread_time() - start))
            if seen != self._seen:
                self._seen = seen
                with self._server._rebuild_cond:
                    self._server._want_rebuild = True
                    self._server._rebuild_cond.notify_all()
