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
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from chorus_handbook.commands.old_site import move_back, not_ours

_MARK = "handbook-build.txt"
_EXCHANGING = "exchanging"
_NOTICE = "\nA build of this site is working here. If none is, the next one removes this folder.\n"
_ATTEMPTS = 10
#: renameat2(2) of Linux: both names are exchanged in one step; relative to the current folder.
_RENAME_EXCHANGE = 2
_AT_FDCWD = -100


@dataclass(frozen=True, slots=True)
class Staging:
    """A folder to build in, for the site at `target`."""

    folder: Path
    target: Path

    @property
    def new(self) -> Path:
        return self.folder / "new"

    @property
    def old(self) -> Path:
        return self.folder / "old"

    def publish(self) -> None:
        """Exchange the new site and the old one. Raises OSError, and then the old one stands."""
        if self.target.is_dir():
            _as_readable_as(self.target, self.new)
        (self.folder / _EXCHANGING).touch()
        exchange(self.new, self.target, self.old)

    def clear(self) -> list[Path]:
        """Move to the site what is not ours, and delete the rest. Returns what had to stay
        because something else has its place, or because the system refused."""
        try:
            return self._clear()
        except OSError:
            return [self.folder]

    def _clear(self) -> list[Path]:
        exchanging = (self.folder / _EXCHANGING).exists()
        if exchanging and not os.path.lexists(self.target):
            self._put_back()
        for folder in (self.new, self.old):  # it may be as read-only as the site was
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
        """There is no site: let the old one be the site again. It is at `old` if the exchange took
        two steps; at `new` there may be the new one, of which nothing is lost."""
        if self.old.exists():
            self.old.rename(self.target)
        elif self.new.exists() and not_ours(self.new):
            self.new.rename(self.target)


def check_place(target: Path) -> None:
    """Say before a long build that nothing can be written beside its site. Raises OSError."""
    above = next(folder for folder in target.parents if folder.exists())
    if not above.is_dir():
        raise NotADirectoryError(errno.ENOTDIR, "This is a file, not a folder", str(above))
    if not os.access(above, os.W_OK | os.X_OK):
        raise _no_room(above, errno.EACCES, os.strerror(errno.EACCES))


@contextmanager
def staging(target: Path) -> Iterator[Staging]:
    """A fresh folder next to the target, gone afterwards. Raises OSError."""
    target.parent.mkdir(parents=True, exist_ok=True)
    stage, lock = _made(target)
    try:
        stage.new.mkdir()
        yield stage
    finally:
        with lock:
            if not stage.clear():
                with suppress(OSError):  # then the next build removes it
                    _remove(stage.folder, lock)


def clear_left_behind(target: Path) -> list[Path]:
    """Clear what killed builds of this site left beside it. Returns what had to stay because
    something else has its place in the site, or the system refused."""
    left: list[Path] = []
    for folder in _like_ours(target):
        with suppress(OSError):
            folder.rmdir()  # a build that was killed before it had done anything
            continue
        try:
            left += _clear_dead(folder, target)
        except OSError:
            left.append(folder)
    return left


def _clear_dead(folder: Path, target: Path) -> list[Path]:
    lock = _claimed(folder, "r+")
    if lock is None:  # not ours, or of a build that lives
        return []
    with lock:
        site = lock.readline().rstrip("\n")
        # The name is missing if the build was killed just before it wrote it.
        if site != target.name and (site or [*folder.iterdir()] != [folder / _MARK]):
            return []
        left = Staging(folder, target).clear()
        if not left:
            _remove(folder, lock)
        return left


@contextmanager
def alone(folder: Path) -> Iterator[None]:
    """While this lasts, no other build exchanges sites in the folder. Where folders cannot be
    locked nothing is waited for: `clear` sets right what two builds do to each other."""
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
    """Put the folder `new` at `target`. What stood there is at `new` afterwards, or at `aside`.

    Where the system can exchange two names in one step it does. Elsewhere there is a moment
    between two renames at which nothing is at `target`: the old folder is then whole at `aside`.
    Should the second rename fail, the old folder is put back. Raises OSError.
    """
    if not os.path.lexists(target):
        new.rename(target)
        return
    if _in_one_step(new, target):
        return
    target.rename(aside)
    try:
        new.rename(target)
    except OSError:
        aside.rename(target)
        raise


def _in_one_step(new: Path, target: Path) -> bool:
    """renameat2(2) with RENAME_EXCHANGE, which Linux has on most file systems."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):  # TypeError: Windows has no library to name None
        return False
    answer: int = rename(
        _AT_FDCWD, os.fsencode(new), _AT_FDCWD, os.fsencode(target), _RENAME_EXCHANGE
    )
    return answer == 0


def _made(target: Path) -> tuple[Staging, IO[str]]:
    """A new folder of ours, and its lock. Another build may take it for one that was left behind
    in the moment before it is locked; then there is another try."""
    for _ in range(_ATTEMPTS):
        try:
            folder = Path(tempfile.mkdtemp(prefix=_prefix(target), dir=target.parent))
        except OSError as failure:  # which names a folder that nobody has heard of
            raise _no_room(target.parent, failure.errno, failure.strerror) from failure
        try:
            lock = _claimed(folder, "x+")
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


def _no_room(folder: Path, code: int | None, why: str | None) -> OSError:
    return OSError(code, f"{why} (a new site is built beside the old one)", str(folder))


def _claimed(folder: Path, mode: str) -> IO[str] | None:
    """The mark of a folder, opened and locked; None if there is none or another build has it."""
    mark = folder / _MARK
    try:
        lock = mark.open(mode, encoding="utf-8", errors="surrogateescape", newline="\n")
    except FileNotFoundError:
        return None
    try:
        _lock(lock.fileno(), wait=False)
        if os.path.samestat(os.fstat(lock.fileno()), mark.stat()):
            return lock
    except OSError:
        pass
    lock.close()
    return None


def _remove(folder: Path, lock: IO[str]) -> None:
    """Delete a folder of ours that is empty but for its mark."""
    if sys.platform == "win32":
        lock.close()  # there, what is open cannot be deleted
    (folder / _MARK).unlink()
    with suppress(FileNotFoundError):  # another build may have come across it, empty
        folder.rmdir()


def _like_ours(target: Path) -> list[Path]:
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
    return f".{target.name}-"


def _as_readable_as(old: Path, new: Path) -> None:
    """Who may read the old site may read the new one: a web server of another user, say."""
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
