"""The folder beside the site in which a build works, and the cleaning up after builds that were
killed.

    .site-1a2b3c4d/            beside site/, on the same disk, so that folders can be exchanged
      handbook-build.txt         says that it is ours and for which site; locked during the build
      exchanging                 exists from just before the exchange on
      new/                       the new site; after the exchange, the old one
      old/                       the old site, on systems that cannot exchange two names at once

Before the exchange (no file `exchanging`), only the build has written in this folder. After it,
`new/` and `old/` may contain files that are not ours, such as the site's `.git`. The same routine
cleans up after a finished and a killed build: files that the old site's manifest does not list are
moved to the site, files that it lists are deleted, and the manifest itself is deleted last.
"""

from __future__ import annotations

import ctypes
import errno
import os
import shutil
import stat
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from chorus_handbook.commands.old_site import move_back, not_ours

_NOTICE_FILE = "handbook-build.txt"
_EXCHANGING = "exchanging"
_NOTICE = (
    "\nA command of `handbook` is working here. If none is, the next one removes this folder.\n"
)
#: How often to try to make a staging folder.
_ATTEMPTS = 10
#: Seconds between tries to rename a folder on Windows; other systems need only one try.
_RENAME_PAUSES = (0.05, 0.1, 0.2, 0.4, 0.8, 1.6) if sys.platform == "win32" else ()
#: Constants of Linux for renameat2(2): exchange both names; paths begin at the current folder.
_RENAME_EXCHANGE = 2
_AT_FDCWD = -100


@dataclass(frozen=True, slots=True)
class Staging:
    """The folder in which a build works for the site at `target`. The top of this module lists what
    is in it."""

    folder: Path
    target: Path

    @property
    def new(self) -> Path:
        return self.folder / "new"

    @property
    def old(self) -> Path:
        return self.folder / "old"

    def publish(self) -> None:
        """Exchange the new site and the old one. Raises OSError; the old site is then unchanged."""
        if self.target.is_dir():
            _as_readable_as(self.target, self.new)
        (self.folder / _EXCHANGING).touch()
        exchange(self.new, self.target, self.old)

    def clear(self) -> list[Path]:
        """Move files that no build wrote to the site, and delete the rest of this folder. Returns
        the files that had to stay, because the site has something else at their path or the system
        refused."""
        try:
            return self._clear()
        except OSError:
            return [self.folder]

    def _clear(self) -> list[Path]:
        """The work of `clear`. Raises OSError."""
        exchanging = (self.folder / _EXCHANGING).exists()
        if exchanging and not os.path.lexists(self.target):
            self._put_back()
        for folder in (self.new, self.old):  # a site may be read-only
            with suppress(OSError):
                folder.chmod(folder.stat().st_mode | stat.S_IRWXU)
        if not exchanging:
            if self.new.exists():
                shutil.rmtree(self.new)
            return []
        left = [*move_back(self.new, self.target), *move_back(self.old, self.target)]
        if not left:
            (self.folder / _EXCHANGING).unlink()
        return left

    def _put_back(self) -> None:
        """Called when there is no site at `target`: move the old one back. It is at `old` if the
        exchange took two steps. Otherwise it is at `new`, unless nothing there is worth saving."""
        if self.old.exists():
            _rename(self.old, self.target)
        elif self.new.exists() and not_ours(self.new):
            _rename(self.new, self.target)


def check_place(target: Path) -> None:
    """Check, before a long build, that files can be written beside the site `target`. Raises
    OSError if not."""
    above = next(folder for folder in target.parents if folder.exists())
    if not above.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, "This is a file, not a folder", str(above))
    if not os.access(above, os.W_OK | os.X_OK):
        raise _error_beside(above, errno.EACCES, os.strerror(errno.EACCES))


@contextmanager
def staging(target: Path) -> Iterator[Staging]:
    """A new staging folder beside `target`, which is cleared after the `with` block. Raises
    OSError."""
    target.parent.mkdir(parents=True, exist_ok=True)
    stage, lock = _make_staging(target)
    try:
        stage.new.mkdir()
        yield stage
    finally:
        with lock:
            if not stage.clear():
                with suppress(OSError):  # then the next build removes it
                    _remove(stage.folder, lock)


def clear_left_behind(target: Path) -> list[Path]:
    """Clear the staging folders that killed builds of this site left beside it. Returns the files
    that had to stay, because the site has something else at their path or the system refused."""
    left: list[Path] = []
    for folder in _staging_folders(target):
        with suppress(OSError):
            folder.rmdir()  # a build that was killed before it had done anything
            continue
        try:
            left += _clear_folder(folder, target)
        except OSError:
            left.append(folder)
    return left


def _clear_folder(folder: Path, target: Path) -> list[Path]:
    """Clear a folder that a killed build of the site at `target` left behind. Returns the files
    that had to stay; an empty list also for folders that are not ours to clear."""
    lock = _open_locked(folder, "r+")
    if lock is None:  # not a staging folder, or one of a build that is still running
        return []
    with lock:
        site = lock.readline().rstrip("\n")
        # The name is missing if the build was killed just before it wrote it.
        if site != target.name and (site or [*folder.iterdir()] != [folder / _NOTICE_FILE]):
            return []
        left = Staging(folder, target).clear()
        if not left:
            _remove(folder, lock)
        return left


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Lock the folder, so that no other build exchanges sites in it during the `with` block. On
    systems that cannot lock folders nothing happens; two builds at once may then leave files in the
    wrong place, which `clear` moves back."""
    handle = None
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        _lock(handle, wait=True)
    try:
        yield
    finally:
        if handle is not None:
            os.close(handle)


def exchange(new: Path, target: Path, aside: Path) -> None:
    """Put the folder `new` at `target`. What was there before is at `new` afterwards, or at
    `aside`.

    Where the system can exchange two names in one step it does. Elsewhere there is a moment
    between two renames at which nothing is at `target`: the old folder is then whole at `aside`.
    Should the second rename fail, the old folder is put back. Raises OSError.
    """
    if not os.path.lexists(target):
        _rename(new, target)
        return
    if _in_one_step(new, target):
        return
    _rename(target, aside)
    try:
        _rename(new, target)
    except OSError:
        _rename(aside, target)
        raise


def _rename(folder: Path, target: Path) -> None:
    """Rename a folder. On Windows that is refused while any program has a file in it open, as a
    virus scanner does for a moment, so it is tried several times. Raises OSError."""
    for pause in _RENAME_PAUSES:
        try:
            folder.rename(target)
            return
        except PermissionError:
            time.sleep(pause)
    folder.rename(target)


def _in_one_step(new: Path, target: Path) -> bool:
    """Exchange the two folders in one step, with the system call renameat2(2) and its flag
    RENAME_EXCHANGE, which Linux supports on most file systems. Returns whether that worked."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):  # TypeError: Windows has no library to name None
        return False
    answer: int = rename(
        _AT_FDCWD, os.fsencode(new), _AT_FDCWD, os.fsencode(target), _RENAME_EXCHANGE
    )
    return answer == 0


def _make_staging(target: Path) -> tuple[Staging, IO[str]]:
    """Make a new staging folder for the site at `target` and lock it. Returns the folder and the
    open lock. In the moment before it is locked, another build may take the folder for one that was
    left behind and remove it; then this tries again. Raises OSError."""
    for _ in range(_ATTEMPTS):
        try:
            folder = Path(tempfile.mkdtemp(prefix=_prefix(target), dir=target.parent))
        except OSError as failure:  # its message names the staging folder, which no user knows
            raise _error_beside(target.parent, failure.errno, failure.strerror) from failure
        try:
            lock = _open_locked(folder, "x+")
        except OSError:
            with suppress(OSError):
                folder.rmdir()
            raise
        if lock is not None:
            try:
                lock.write(target.name + _NOTICE)
                lock.flush()
            except OSError:
                _remove(folder, lock)
                raise
            return Staging(folder, target), lock
    raise OSError(None, "other builds are in the way", str(target.parent))


def _error_beside(folder: Path, code: int | None, why: str | None) -> OSError:
    """The error for a folder in which no new site can be made, with the reason and an explanation
    why anything is written there."""
    return OSError(code, f"{why} (a new site is built beside the old one)", str(folder))


def _open_locked(folder: Path, mode: str) -> IO[str] | None:
    """Open and lock the file `handbook-build.txt` in a staging folder; None if there is no such
    file or another build has locked it."""
    path = folder / _NOTICE_FILE
    try:
        lock = path.open(mode, encoding="utf-8", errors="surrogateescape", newline="\n")
    except FileNotFoundError:
        return None
    try:
        _lock(lock.fileno(), wait=False)
        if os.path.samestat(os.fstat(lock.fileno()), path.stat()):
            return lock
    except OSError:
        pass
    lock.close()
    return None


def _remove(folder: Path, lock: IO[str]) -> None:
    """Delete a staging folder in which only the file `handbook-build.txt` is left."""
    if sys.platform == "win32":
        lock.close()  # Windows cannot delete a file that is open
    (folder / _NOTICE_FILE).unlink()
    with suppress(FileNotFoundError):  # another build may have found it empty and removed it
        folder.rmdir()


def _staging_folders(target: Path) -> list[Path]:
    """The folders beside the site at `target` that are named like its staging folders."""
    try:
        with os.scandir(target.parent) as found:
            return sorted(
                Path(entry.path)
                for entry in found
                if entry.name.startswith(_prefix(target)) and entry.is_dir(follow_symlinks=False)
            )
    except (FileNotFoundError, NotADirectoryError):
        return []


def _prefix(target: Path) -> str:
    """How the names of all staging folders of the site at `target` begin."""
    return f".{target.name}-"


def _as_readable_as(old: Path, new: Path) -> None:
    """Give the new site the permissions of the old one, so that, for example, a web server that
    runs as another user can still read it."""
    found = old.stat()
    with suppress(OSError):
        new.chmod(found.st_mode & 0o7777)
    if sys.platform != "win32":
        with suppress(OSError):
            os.chown(new, found.st_uid, found.st_gid)


if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int, *, wait: bool) -> None:
        """Lock a file until it is closed or its process ends. Raises OSError."""
        msvcrt.locking(handle, msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int, *, wait: bool) -> None:
        """Lock a file until it is closed or its process ends. Raises OSError."""
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
