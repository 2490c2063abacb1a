"""Sets the date that pages and the site map show: that of the handbook's newest change.

MkDocs would use the time of the build; then the same files would give a different site each day.
"""

from __future__ import annotations

import os
from pathlib import Path

#: The environment variable from which MkDocs takes the date (reproducible-builds.org).
DATE = "SOURCE_DATE_EPOCH"
#: The date that `set_date` has set; empty before the first time.
_ours = ""


def set_date(root: Path) -> str:
    """Set the environment variable to the handbook's date, unless the user has set it. Returns the
    date in seconds since 1970, as text."""
    global _ours  # noqa: PLW0603  (like the environment variable, it belongs to the process)
    if os.environ.get(DATE, _ours) == _ours:
        os.environ[DATE] = _ours = str(newest_change(root))
    return os.environ[DATE]


def newest_change(root: Path) -> int:
    """Seconds since 1970 of the newest commit that touches the folder `root`; without version
    control, of its newest file."""
    import subprocess  # late: if the user has set the date, no other program is run

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
