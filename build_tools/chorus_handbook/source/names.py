"""Says which names authors may give to voices, goals, files and so on (such as "low-tide"), and
which files are ignored because of their names."""

from __future__ import annotations

import re
import unicodedata
from fnmatch import translate

#: A name: small letters, digits and single hyphens between them, beginning with a letter.
NAME_PATTERN = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
#: The most characters of a name.
LONGEST_NAME = 60
#: Names that nothing in a folder can have, because the folder's own page is published under them.
TAKEN_ADDRESSES = frozenset({"index"})

_NAME = re.compile(NAME_PATTERN)


def is_name(text: str) -> bool:
    """Whether the text is a valid name of a voice, a goal, an exercise's file and so on."""
    return len(text) <= LONGEST_NAME and bool(_NAME.match(text)) and not text.endswith("\n")


def as_name(text: str) -> str:
    """Turn a text into the nearest valid name: "Überm Meer!" becomes "uberm-meer". Returns an empty
    string if the text has no letter from a to z."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    words = "-".join(re.findall(r"[a-z0-9]+", plain.replace("'", "")))
    return words.lstrip("-0123456789")[:LONGEST_NAME].strip("-")


#: Patterns of files that systems and editors create, and that are ignored.
_LEFT_BEHIND = (
    *(".ds_store", "._*", "thumbs.db", "desktop.ini", "__pycache__", "__macosx", ".git*"),
    *("*~", "~*", "#*", ".#*", "*.swp", "*.swo", "*.tmp", "*.bak", ".*.sw?"),
)
_LEFT_BEHIND_PATTERN = re.compile("|".join(map(translate, _LEFT_BEHIND)))


def is_left_behind(name: str) -> bool:
    """Whether a file or folder with this name was left behind by a system or an editor."""
    return _LEFT_BEHIND_PATTERN.match(name.lower()) is not None
