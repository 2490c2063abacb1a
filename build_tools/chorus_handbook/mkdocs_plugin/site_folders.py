"""The folders that a served site is built into: a fresh one for each build, so that a page is never
read from half a site.

They lie together in one folder among the system's temporary files. A lock in it shows that its
process is alive: what a process left that was killed, the next one removes.
"""

from __future__ import annotations

import os
import shutil
import tempfile
import threading
import time
from contextlib import suppress
from itertools import count
from pathlib import Path

from filelock import FileLock, Timeout

_PREFIX = "handbook-serve-"
_LOCK = "in-use.lock"
#: Seconds from a folder's beginning in which its process may not have locked it yet.
_BEGINNING = 60


class SiteFolders:
    """The folders of one server. The newest two are kept: an answer that was begun before a new
    site was shown is read to its end from the old one."""

    def __init__(self) -> None:
        _remove_leftovers()
        self._place = Path(tempfile.mkdtemp(prefix=_PREFIX))
        self._lock = FileLock(self._place / _LOCK)
        self._lock.acquire()
        self._numbers = count(1)

    def fresh(self) -> Path:
        """An empty folder. Raises OSError."""
        folder = self._place / str(next(self._numbers))
        folder.mkdir(parents=True)  # even if the system cleared away what lay here for weeks
        return folder

    def adopt(self, site: Path) -> Path:
        """A site that was built elsewhere, moved here. Raises OSError."""
        return Path(shutil.move(site, self._place / str(next(self._numbers))))

    def keep_only(self, *sites: Path) -> None:
        """Remove all folders but these, in the background: a large site takes a while."""
        with suppress(OSError):  # nothing depends on it, and the next time may do
            others = [
                folder
                for folder in self._place.iterdir()
                if folder.name != _LOCK and folder not in sites
            ]
            threading.Thread(target=_remove, args=[others], daemon=True).start()

    def remove(self) -> None:
        """Remove everything; the server is at its end."""
        self._lock.release()
        shutil.rmtree(self._place, ignore_errors=True)


def _remove(folders: list[Path]) -> None:
    for folder in folders:
        shutil.rmtree(folder, ignore_errors=True)


def _remove_leftovers() -> None:
    """Remove the folders of processes that are no longer alive: ours, locked once, not now."""
    for place in Path(tempfile.gettempdir()).glob(f"{_PREFIX}*"):
        with suppress(OSError, Timeout):
            if _may_be_left(place):
                with FileLock(place / _LOCK, blocking=False):
                    pass
                shutil.rmtree(place, ignore_errors=True)


def _may_be_left(place: Path) -> bool:
    found = place.lstat()
    mine = not hasattr(os, "getuid") or found.st_uid == os.getuid()
    old = time.time() - found.st_mtime > _BEGINNING or (place / _LOCK).exists()
    return mine and old and place.is_dir() and not place.is_symlink()
