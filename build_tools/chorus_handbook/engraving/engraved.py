"""The data types of an exercise before it is drawn (`Drawable`) and after (`Engraved`). Both are
stored in the cache.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chorus_handbook.pitch import Pitch

if TYPE_CHECKING:
    from chorus_handbook.chorus.model import Chorus
    from chorus_handbook.music.score import Score

#: The id of the heading above the notes in words.
NOTES_IN_WORDS = "hb-notes-in-words"


@dataclass(frozen=True, slots=True)
class BassClef:
    """The drawings of one key in bass clef, for the `voices` that read one. The other fields are as
    in `Engraved`."""

    voices: tuple[str, ...]
    wide: str
    narrow: str | None
    legend: str


@dataclass(frozen=True, slots=True)
class LineInWords:
    """One line of a score in words. `singers`: who sings it. `octaves`: which of them sing in
    another octave; may be empty. `bars`: a label ("Bar 3", "Bars 4 to 6") and HTML for each bar, or
    for several bars together."""

    singers: str
    octaves: str
    bars: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class NotesInWords:
    """All notes of a score in words, in one key.

    about: sentences that a reader must know before the notes.
    pitches: the name ("Bb3") of the pitch in each <b> element of the bars, in order. From these the
        browser puts the notes into other keys.
    """

    title: str
    about: tuple[str, ...]
    lines: tuple[LineInWords, ...]
    pitches: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Engraved:
    """The drawings of one exercise in one key.

    wide, narrow, thumbnail: svg elements for use in a page, sized in CSS pixels. `narrow` is None
        when the wide drawing fits a phone.
    symbols: the glyphs that they refer to, keyed by id; the page must contain them once (see
        `sprite`).
    legend: what a reader must know of the drawing, in words: who sings an octave lower or higher
        than written, which words are whose; may be empty.
    bass: the same in bass clef, for voices that read one; None when there is no difference.
    words: all notes in words; None except for the first key.
    """

    tonic: Pitch
    wide: str
    narrow: str | None
    thumbnail: str
    symbols: Mapping[str, str]
    legend: str = ""
    bass: BassClef | None = None
    words: NotesInWords | None = None


@dataclass(frozen=True, slots=True)
class Drawable:
    """What the drawings of one exercise are made from. `slug` is the exercise's name in addresses;
    `tonics` are the tonics of its keys, in the order of singing."""

    slug: str
    title: str
    score: Score
    chorus: Chorus
    tonics: tuple[Pitch, ...]


def sprite(symbols: Mapping[str, str]) -> str:
    """An svg element without size that contains the glyphs to which the drawings of a page
    refer."""
    return (
        '<svg width="0" height="0" style="position:absolute" aria-hidden="true">'
        f"<defs>{''.join(symbols.values())}</defs></svg>"
    )
