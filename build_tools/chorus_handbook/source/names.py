"""Names: how authors name things (small letters, digits and hyphens), and names of files that
systems and editors leave behind."""

from __future__ import annotations

import re
import unicodedata
from fnmatch import fnmatchcase

NAME_PATTERN = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
LONGEST_NAME = 60
#: Names under which the page of a whole folder is published: nothing in it can have one of them.
TAKEN_ADDRESSES = frozenset({"index"})

_NAME = re.compile(NAME_PATTERN)


def is_name(text: str) -> bool:
    """Whether the text can name a voice, a goal, an exercise's file ..."""
    return len(text) <= LONGEST_NAME and bool(_NAME.match(text)) and not text.endswith("\n")


def as_name(text: str) -> str:
    """The nearest name: "Überm Meer!" becomes "uberm-meer"; empty when nothing is left."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    words = "-".join(re.findall(r"[a-z0-9]+", plain.replace("'", "")))
    return words.lstrip("-0123456789")[:LONGEST_NAME].strip("-")


#: Nobody wrote these files, and nobody need be told of them.
_LEFT_BEHIND = (
    *(".ds_store", "._*", "thumbs.db", "desktop.ini", "__pycache__", "__macosx", ".git*"),
    *("*~", "~*", "#*", ".#*", "*.swp", "*.swo", "*.tmp", "*.bak", ".*.sw?"),
)


def is_left_behind(name: str) -> bool:
    """Whether a file or folder of this name comes from a system or an editor."""
    return any(fnmatchcase(name.lower(), pattern) for pattern in _LEFT_BEHIND)
