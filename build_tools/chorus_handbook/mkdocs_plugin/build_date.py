"""The date of a handbook: that of its newest change, so that the same files give the same site."""

from __future__ import annotations

import os
from pathlib import Path

#: By this MkDocs is told the date on which pages say they were made (reproducible-builds.org).
DATE = "SOURCE_DATE_EPOCH"
_ours = ""


def set_date(root: Path) -> str:
    """Tell MkDocs the date of the handbook as it is now, unless one was given from outside. Returns
    the date."""
    global _ours  # noqa: PLW0603  (the environment that it describes is one for the process, too)
    if os.environ.get(DATE, _ours) == _ours:
        os.environ[DATE] = _ours = str(newest_change(root))
    return os.environ[DATE]


def newest_change(root: Path) -> int:
    """Seconds since 1970 of the newest commit that touches `root`; without version control, of the
    newest file."""
    import subprocess  # late: a date that is given from outside needs no other program

    try:
        answer = subprocess.run(
            ["git", "log", "-1", "--format=%ct", "--", "."],
            cwd=root,
            capture_output=True,
            text=True,
            timeout=10,
            check=False,
        ).stdout.strip()
        if answer.isdigit():
            return int(answer)
    except (OSError, subprocess.SubprocessError):
        pass
    times = [int(path.stat().st_mtime) for path in root.rglob("*") if path.is_file()]
    return max(times, default=0)
