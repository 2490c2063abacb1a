"""Watches files for a server, in the place of the observer that MkDocs gives it, which sees no
change made during the first build and stops for good when a folder is gone for a moment."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterable, Mapping
from contextlib import suppress
from typing import Any

#: Seconds between two looks, at least; an edit is seen at once.
_PAUSE = 0.1
#: A pause is so many times as long as a look takes: looking costs next to nothing.
_TIMES = 30

#: Of every file its time of change, its length and its number on the disk.
Seen = Mapping[str, tuple[int, int, int]]


def look(paths: Iterable[str]) -> Seen:
    """What there is at and below the paths. Of what is missing there is nothing."""
    seen: dict[str, tuple[int, int, int]] = {}
    for path in paths:
        files = [os.path.join(place, name) for place, _, names in os.walk(path) for name in names]  # noqa: PTH118
        for file in files or [path]:
            with suppress(OSError):
                status = os.stat(file)  # noqa: PTH116  (many of them, often)
                seen[file] = (status.st_mtime_ns, status.st_size, status.st_ino)
    return seen


class Watcher:
    """Asks a server (MkDocs's LiveReloadServer) for a new build whenever a file differs from what
    was `seen`. It has the methods of an observer that the server uses; which paths are watched it
    takes from the server."""

    def __init__(self, server: Any, seen: Seen) -> None:
        self._server = server
        self._seen = seen
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._watch, daemon=True)

    def start(self) -> None:
        # What is watched beside the handbook was not looked at before: it is as it is now.
        self._seen = {**look(self._server._watched_paths), **self._seen}
        self._thread.start()

    def stop(self) -> None:
        self._over.set()

    def join(self) -> None:
        self._thread.join()

    def schedule(self, *_: object, **__: object) -> None:
        """A path is watched from now on."""

    def unschedule(self, _: object) -> None:
        """A path is not watched any longer."""

    def _watch(self) -> None:
        pause = _PAUSE
        while not self._over.wait(pause):
            start = time.thread_time()
            seen = look(list(self._server._watched_paths))
            pause = max(_PAUSE, _TIMES * (time.thread_time() - start))
            if seen != self._seen:
                self._seen = seen
                with self._server._rebuild_cond:
                    self._server._want_rebuild = True
                    self._server._rebuild_cond.notify_all()
