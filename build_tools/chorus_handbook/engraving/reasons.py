"""What the engraver logs, as the reason why a drawing is not whole.

A log line alone never means failure: most tell of what is only laid out otherwise, or of a sign
that nobody needs (`losses` judges the drawing). Where something is missing they may say why. The
engraver speaks to programmers; what it says of files from notation editors is put in words on
which their authors can act.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

#: Lines about spacing, and about signs that begin and never end: they explain no loss.
_EXPLAINS_NOTHING = re.compile(
    r"Justification is highly compressed"
    r"|System full width"
    r"|Non-justifiable width"
    r"|Drawing justifiable width"
    r"|Syllable with underline extender under one single note"
    r"|Adding auxiliary KeySig for transposition"
    r"|MusicXML import: There are \d+ \w+ left"
    r"|MusicXML import: slur "
    r"|MusicXML import: Dangling ending tag"
)
_IN_PLAIN_WORDS = (
    (r"MusicXML import: Multimetric music", "parts are in different meters at the same time"),
    (r"MusicXML import: No measure to load", "there is no bar in it"),
    (r"MusicXML import: Could not find the part '(.*)'", "the part {} has no music"),
    (r"MusicXML import: Unsupported note-type-value '(.*)'", "the engraver has no “{}” notes"),
)


def reasons(log: Iterable[str]) -> list[str]:
    """What of the engraver's log may say why something was not drawn, each once."""
    return list(dict.fromkeys(_plainly(line) for line in log if not _EXPLAINS_NOTHING.match(line)))


def _plainly(line: str) -> str:
    for pattern, words in _IN_PLAIN_WORDS:
        found = re.match(pattern, line)
        if found:
            return words.format(*found.groups())
    return line.removeprefix("MusicXML import: ")
