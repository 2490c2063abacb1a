"""The number of the format in which the files of a handbook are written, as chorus.yml states it.

`FORMAT` is raised when a field gets another name or meaning, so that older files cannot be read any
more; a new field that may be left out does not raise it. `entries/renewal.py` brings files of an
older format up to date. A handbook in a newer format cannot be understood at all, so that is
reported and nothing else is read.
"""

from __future__ import annotations

from chorus_handbook.problems import Problem
from chorus_handbook.source import Document

#: The format that this program reads and writes. docs/writing/chorus.md says what each format
#: changed.
FORMAT = 2
#: The format of a handbook whose chorus.yml states none.
FIRST_FORMAT = 1


def newer_format(document: Document) -> Problem | None:
    """The problem of a chorus.yml (the `document`) that states a newer format than `FORMAT`; None
    if it does not."""
    stated = document.data.get("format")
    if not isinstance(stated, int) or isinstance(stated, bool) or stated <= FORMAT:
        return None
    return Problem(
        document.place_of("format"),
        "format-newer",
        f"This handbook is written in format {stated}, but this program reads only formats up to "
        f"{FORMAT}.",
        "Install a newer version of the program, as docs/your-own.md says.",
    )
