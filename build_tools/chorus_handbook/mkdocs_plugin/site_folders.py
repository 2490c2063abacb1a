"""Makes and deletes the folders into which `handbook serve` builds. There is a new one for each
build, so that no page is ever read from a half-built site.

The folders of a server are in one temporary folder with a lock file. While the server runs, it
holds the lock; a temporary folder whose lock is free was left by a server that was killed, and the
next server deletes it.
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
#: For how many seconds after it was made a folder may be without a lock because its server is still
#: starting.
_STARTING = 60


class SiteFolders:
    """The temporary folders into which one run of `handbook serve` builds its sites."""

    def __init__(self) -> None:
        _remove_leftovers()
        self._place = Path(tempfile.mkdtemp(prefix=_PREFIX))
        self._lock = FileLock(self._place / _LOCK)
        self._lock.acquire()
        self._numbers = count(1)

    def fresh(self) -> Path:
        """An empty folder. Raises OSError."""
        folder = self._place / str(next(self._numbers))
        folder.mkdir(parents=True)  # the system may have cleaned up the temporary folder
        return folder

    def adopt(self, site: Path) -> Path:
        """Move a site that was built elsewhere to these folders. Returns its new path. Raises
        OSError."""
        return Path(shutil.move(site, self._place / str(next(self._numbers))))

    def keep_only(self, *sites: Path) -> None:
        """Delete all other folders, in the background because a large site takes a while. The
        caller passes two sites: answers that have begun are still read from the older one."""
        with suppress(OSError):  # not important: the next call tries again
            others = [
                folder
                for folder in self._place.iterdir()
                if folder.name != _LOCK and folder not in sites
            ]
            threading.Thread(target=_remove, args=[others], daemon=True).start()

    def remove(self) -> None:
        """Delete all folders of this server. The server calls this when it ends."""
        self._lock.release()
        shutil.rmtree(self._place, ignore_errors=True)


def _remove(folders: list[Path]) -> None:
    for folder in folders:
        shutil.rmtree(folder, ignore_errors=True)


def _remove_leftovers() -> None:
    """Delete the folders of servers that no longer run."""
    for place in Path(tempfile.gettempdir()).glob(f"{_PREFIX}*"):
        with suppress(OSError, Timeout):
            if _may_be_left(place):
                with FileLock(place / _LOCK, blocking=False):
                    pass
                shutil.rmtree(place, ignore_errors=True)


def _may_be_left(place: Path) -> bool:
    """Whether a folder may have been left by a server of this user that no longer runs. (If its
    lock is held, the server still runs.)"""
    found = place.lstat()
    mine = not hasattr(os, "getuid") or found.st_uid == os.getuid()
    old = time.time() - found.st_mtime > _STARTING or (place / _LOCK).exists()
    return mine and old and place.is_dir() and not place.is_symlink()
