"""The data types of an exercise before it is drawn (`Drawable`) and after (`Engraved`), which are
cached.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chorus_handbook.pitch import Pitch

if TYPE_CHECKING:
    from chorus_handbook.chorus.model import Chorus
    from chorus_handbook.music.score import Score


@dataclass(frozen=True, slots=True)
class BassClef:
    """The drawings of one key for the `voices` that read a bass clef, as in Engraved."""

    voices: tuple[str, ...]
    wide: str
    narrow: str | None
    legend: str


@dataclass(frozen=True, slots=True)
class Engraved:
    """The drawings of one exercise in one key.

    wide, narrow, thumbnail: svg elements for use in a page, sized in CSS pixels. `narrow` is None
        when the wide drawing fits a phone.
    symbols: the glyphs that they refer to, by id; the page must contain them once (see `sprite`).
    legend: what a reader must know of the drawing, in words: who sings an octave lower or higher
        than written, which words are whose; may be empty.
    bass: the same in bass clef, for voices that read one; None when there is no difference.
    """

    tonic: Pitch
    wide: str
    narrow: str | None
    thumbnail: str
    symbols: Mapping[str, str]
    legend: str = ""
    bass: BassClef | None = None


@dataclass(frozen=True, slots=True)
class Drawable:
    """The input from which the drawings of one exercise are made. `tonics` are in the order of
    singing."""

    slug: str
    title: str
    score: Score
    chorus: Chorus
    tonics: tuple[Pitch, ...]


def sprite(symbols: Mapping[str, str]) -> str:
    """An svg element without size that holds the glyphs which the drawings of a page refer to."""
    return (
        '<svg width="0" height="0" style="position:absolute" aria-hidden="true">'
        f"<defs>{''.join(symbols.values())}</defs></svg>"
    )
