"""An exercise before and after it is drawn, as plain data: what is stored, and what pages show."""

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
    octaves: str


@dataclass(frozen=True, slots=True)
class Engraved:
    """One exercise in one key, drawn.

    `wide`, `narrow` and `thumbnail` are svg elements for the inside of an HTML page, their sizes
    in CSS pixels; `narrow` is None where the wide drawing fits a phone. They refer to `symbols`
    (glyph id -> markup), which the page must hold once, through `sprite`. `octaves` says in words
    who sings an octave lower or higher than written, if anybody does. `bass` is the same for those
    who read a bass clef, where that makes a difference.
    """

    tonic: Pitch
    wide: str
    narrow: str | None
    thumbnail: str
    symbols: Mapping[str, str]
    octaves: str = ""
    bass: BassClef | None = None


@dataclass(frozen=True, slots=True)
class Drawable:
    """What the drawings of one exercise are made from; `tonics` in singing order, each once."""

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
