"""Two folders change places, so that readers see the old site or the new one, never half."""

from __future__ import annotations

import ctypes
import os
from pathlib import Path

_RENAME_EXCHANGE = 2
_AT_FDCWD = -100


def exchange(new: Path, target: Path) -> None:
    """Put the folder `new` at `target`; what stood there is at `new` afterwards.

    Where the system can exchange two names in one step it does; elsewhere the old folder is
    moved away first, and put back should the second move fail.
    """
    if not target.exists():
        new.rename(target)
        return
    if _in_one_step(new, target):
        return
    old = new.with_name(new.name + ".old")
    target.rename(old)
    try:
        new.rename(target)
    except OSError:
        old.rename(target)
        raise
    old.rename(new)


def _in_one_step(new: Path, target: Path) -> bool:
    """renameat2(2) with RENAME_EXCHANGE, which Linux has on most file systems."""
    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    answer: int = rename(
        _AT_FDCWD, os.fsencode(new), _AT_FDCWD, os.fsencode(target), _RENAME_EXCHANGE
    )
    return answer == 0
