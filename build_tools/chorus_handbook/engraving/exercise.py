"""One exercise drawn: every key of it, as the svg elements that stand in a page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

from chorus_handbook.engraving.apart import draw_apart
from chorus_handbook.engraving.describe import describe
from chorus_handbook.engraving.engine import draw
from chorus_handbook.engraving.file_layouts import file_layouts
from chorus_handbook.engraving.layouts import NARROW, Forms, Layouts, Sheet
from chorus_handbook.engraving.lyric_font import FAMILY
from chorus_handbook.engraving.staves import part_labels
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

if TYPE_CHECKING:
    from chorus_handbook.chorus.model import Chorus


@dataclass(frozen=True, slots=True)
class Engraved:
    """One exercise in one key, drawn.

    `wide`, `narrow` and `thumbnail` are svg elements for the inside of an HTML page, their sizes
    in CSS pixels; `narrow` is None where the wide drawing fits a phone. They refer to `symbols`
    (glyph id -> markup), which the page must hold once, through `sprite`.
    """

    tonic: Pitch
    wide: str
    narrow: str | None
    thumbnail: str
    symbols: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Drawable:
    """What the drawings of one exercise are made from; `tonics` in singing order, each once."""

    slug: str
    title: str
    score: Score
    chorus: Chorus
    tonics: tuple[Pitch, ...]


def engrave_in_key(
    slug: str,
    title: str,
    score: Score,
    *,
    chorus: Chorus,
    tonic: Pitch,
    thumbnail: bool = True,
) -> Engraved:
    """Draw one exercise in the key on `tonic`; without a `thumbnail` that of the drawing is empty.
    Raises EngravingError."""
    exercise = Drawable(slug, title, score, chorus, (tonic,))
    return _in_key(exercise, Forms(score, chorus), tonic, thumbnail)


def engrave_in_keys(exercise: Drawable) -> tuple[Engraved, ...]:
    """Draw one exercise in all its keys, the first of them with a thumbnail. Raises
    EngravingError."""
    forms = Forms(exercise.score, exercise.chorus)
    return tuple(
        _in_key(exercise, forms, tonic, thumbnail=n == 0) for n, tonic in enumerate(exercise.tonics)
    )


def _in_key(exercise: Drawable, forms: Forms, tonic: Pitch, thumbnail: bool) -> Engraved:
    slug, score = exercise.slug, exercise.score
    if score.file is None:
        drawings = Layouts(forms, tonic, draw).drawings(thumbnail)
    else:
        labels = part_labels(score.file, exercise.chorus)
        drawings = file_layouts(score.file, tonic, draw_apart, thumbnail, labels)
    wide, narrow, small = drawings.wide, drawings.narrow, drawings.thumbnail
    words = describe(exercise.title, score, exercise.chorus, tonic)
    symbols: dict[str, str] = {}
    for sheet in (wide, narrow, small):
        if sheet is not None:
            symbols.update(sheet.picture.symbols)
    return Engraved(
        tonic,
        _svg(wide, slug, words),
        _svg(narrow, slug, words, NARROW.suffix) if narrow else None,
        _svg(small) if small else "",
        dict(sorted(symbols.items())),
    )


def sprite(symbols: Mapping[str, str]) -> str:
    """The signs that drawings of a page refer to, in one svg element that takes no room."""
    return (
        '<svg width="0" height="0" style="position:absolute" aria-hidden="true">'
        f"<defs>{''.join(symbols.values())}</defs></svg>"
    )


def _svg(sheet: Sheet, slug: str = "", words: tuple[str, str] = ("", ""), suffix: str = "") -> str:
    """A drawing as an svg element; without a slug it is decoration, beside a title in words."""
    left, top, width, height = (f"{n:.0f}" for n in sheet.picture.box)
    if slug:
        head, text = f"{slug}-score{suffix}", f"{slug}-score-text{suffix}"
        role = f'role="img" aria-labelledby="{head} {text}"'
        title, description = (escape(w, quote=False) for w in words)
        told = f'<title id="{head}">{title}</title><desc id="{text}">{description}</desc>'
    else:
        role, told = 'aria-hidden="true"', ""
    return (
        f'<svg {role} width="{sheet.width}" height="{sheet.height}" '
        f'viewBox="{left} {top} {width} {height}" fill="currentColor" '
        f'font-family="{FAMILY},Times New Roman,Times,serif" font-size="{LYRIC_SIZE}">'
        f"{told}{sheet.picture.body}</svg>"
    )
