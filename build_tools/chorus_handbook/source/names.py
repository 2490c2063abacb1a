"""How things are named in files: small letters, digits and hyphens."""

from __future__ import annotations

import re
import unicodedata

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
