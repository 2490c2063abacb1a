"""Authors' text as messages show it."""

from __future__ import annotations

#: Longer texts are cut.
LONGEST_SHOWN = 24


def shown(text: str) -> str:
    """Text of an author's, in quotes, short and printable."""
    short = text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"
    return '"' + "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in short) + '"'
