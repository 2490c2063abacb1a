"""Two folders change places, so that readers see the old site or the new one, never half."""

from __future__ import annotations

import ctypes
import os
from pathlib import Path

_RENAME_EXCHANGE = 2
_AT_FDCWD = -100


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
