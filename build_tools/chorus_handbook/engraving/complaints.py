"""What the engraver complains about, and which of it matters.

Whatever may mean that something is missing from a drawing, or drawn otherwise than it was meant,
matters. The engraver speaks to programmers: what it says of files from notation editors is put in
words that their authors can act on.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

#: Complaints about spacing: nothing is lost.
_SPACING = (
    "Justification is highly compressed",
    "System full width",
    "Non-justifiable width",
    "Drawing justifiable width",
)
#: Complaints about a file whose score can be sung from all the same: what begins and is never
#: ended, which nobody could draw; signs for instruments; a bar line of a kind that the engraver
#: lacks, drawn as a plain one; notes that stay on their own staff where they should cross to
#: another; a file that names no key, to which the engraver gives C major's.
HARMLESS_IN_FILES = re.compile(
    r"MusicXML import: There are \d+ (ties|hairpins|beamspans) left"
    r"|MusicXML import: slur .* could not be (ended|matched)"
    r"|MusicXML import: (octave|gliss|bracketSpan|dashes/extender lines|trill extender) for"
    r"|MusicXML import: Beam without end in measure"
    r"|MusicXML import: Dangling ending tag skipped"
    r"|MusicXML import: Unsupported direction-type '(accordion-registration|damp|damp-all"
    r"|eyeglasses|harp-pedals|image|other-direction|percussion|scordatura|string-mute)'"
    r"|MusicXML import: Unsupported bar-style"
    r"|MusicXML import: Unsupported barline location 'middle'"
    r"|Could not get the cross staff reference"
    r"|Adding auxiliary KeySig for transposition"
)
_IN_PLAIN_WORDS = (
    (r"MusicXML import: Multimetric music", "parts are in different meters at the same time"),
    (r"MusicXML import: No measure to load", "there is no bar in it"),
    (r"MusicXML import: Could not find the part '(.*)'", "the part {} has no music"),
    (r"MusicXML import: Unsupported direction-type '(.*)'", "the engraver has no sign for “{}”"),
    (r"MusicXML import: Unsupported type '(.*)'", "a metronome mark counts “{}” notes"),
    (
        r"MusicXML import: Cannot add an accidental to a turn",
        "a turn has an accidental that stands neither above nor below it",
    ),
    (
        r"MusicXML import: Unsupported accidental value '(.*)'",
        "the engraver has no accidental “{}”",
    ),
    (r"MusicXML import: Unsupported note-type-value '(.*)'", "the engraver has no “{}” notes"),
    (r"MusicXML import: Clef change at measure (\d+)", "a clef in bar {} stands inside a note"),
    (r"MusicXML import: notehead-text", "there are letters inside noteheads"),
    (r"Unsupported data.OCTAVE.DIS '(.*)'", "an octave line spans {} notes instead of 8, 15 or 22"),
    (
        r"Attribute key signature is ignored|MusicXML import: Could not properly set keyAccid",
        "a key signature that is neither major nor minor cannot be moved to another key",
    ),
    (
        r"Transposition: Could not get Accidental",
        "in this key a note or the name of a chord needs more than two sharps or flats",
    ),
)


def complaints(log: Iterable[str], about_file: bool) -> list[str]:
    """What matters of the engraver's complaints, each once."""
    matter = [line for line in log if not line.startswith(_SPACING)]
    if about_file:
        matter = [_plainly(line) for line in matter if not HARMLESS_IN_FILES.match(line)]
    return list(dict.fromkeys(matter))


def _plainly(line: str) -> str:
    for pattern, words in _IN_PLAIN_WORDS:
        found = re.match(pattern, line)
        if found:
            return words.format(*found.groups())
    return line.removeprefix("MusicXML import: ")
