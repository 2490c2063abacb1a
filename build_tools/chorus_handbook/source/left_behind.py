"""What systems and editors leave in a folder without being asked: nobody wrote it, and nobody need
be told of it."""

from __future__ import annotations

from fnmatch import fnmatchcase

_LEFT_BEHIND = (
    *(".ds_store", "._*", "thumbs.db", "desktop.ini", "__pycache__", "__macosx", ".git*"),
    *("*~", "~*", "#*", ".#*", "*.swp", "*.swo", "*.tmp", "*.bak", ".*.sw?"),
)


def is_left_behind(name: str) -> bool:
    """Whether a file or folder of this name comes from a system or an editor."""
    return any(fnmatchcase(name.lower(), pattern) for pattern in _LEFT_BEHIND)
