"""Prepares text from an author's file for use in a message."""

from __future__ import annotations

#: The most characters of a text that a message shows.
LONGEST_SHOWN = 24


def shown(text: str) -> str:
    """The text in quotes, cut to a readable length and without unprintable characters."""
    short = text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"
    return '"' + "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in short) + '"'
