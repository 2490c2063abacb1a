"""Draws one exercise in all its keys, as svg elements."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from chorus_handbook.engraving.describe import describe
from chorus_handbook.engraving.engine import draw, draw_in_worker
from chorus_handbook.engraving.engraved import BassClef, Drawable, Engraved
from chorus_handbook.engraving.file_layouts import file_layouts
from chorus_handbook.engraving.layouts import NARROW, Drawing, KeyLayouts, ScoreLayouts
from chorus_handbook.engraving.lyric_font import FAMILY
from chorus_handbook.engraving.staves import bass_readers, part_labels
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch

if TYPE_CHECKING:
    from chorus_handbook.chorus.model import Chorus


def engrave_in_key(
    slug: str,
    title: str,
    score: Score,
    *,
    chorus: Chorus,
    tonic: Pitch,
    thumbnail: bool = True,
) -> Engraved:
    """Draw one exercise in the key on `tonic`; the thumbnail is empty unless requested. Raises
    EngravingError."""
    exercise = Drawable(slug, title, score, chorus, (tonic,))
    return _in_key(exercise, layouts_in_clefs(score, chorus), tonic, thumbnail)


def engrave_in_keys(exercise: Drawable) -> tuple[Engraved, ...]:
    """Draw one exercise in all its keys, the first of them with a thumbnail. Raises
    EngravingError."""
    clefs = layouts_in_clefs(exercise.score, exercise.chorus)
    return tuple(
        _in_key(exercise, clefs, tonic, thumbnail=n == 0) for n, tonic in enumerate(exercise.tonics)
    )


def engrave_opening(exercise: Drawable, tonic: Pitch) -> tuple[str, dict[str, str]]:
    """Draw only the first bars of one exercise, as in a thumbnail, in the key on `tonic`. Returns
    the svg element and the symbols that it refers to, by id. Raises EngravingError."""
    score, chorus = exercise.score, exercise.chorus
    if score.file is None:
        small = KeyLayouts(ScoreLayouts(score, chorus), tonic, draw).thumbnail()
    else:
        labels = part_labels(score.file, chorus)
        drawn = file_layouts(score.file, tonic, draw_in_worker, True, labels).thumbnail
        if drawn is None:
            return "", {}
        small = drawn
    return _element(small), dict(sorted(small.svg.symbols.items()))


def layouts_in_clefs(score: Score, chorus: Chorus) -> tuple[ScoreLayouts, ...]:
    """The layouts that all keys share: the usual ones, and those in bass clef if they differ."""
    usual = ScoreLayouts(score, chorus)
    return (usual, ScoreLayouts(score, chorus, "bass")) if bass_readers(score, chorus) else (usual,)


def _in_key(
    exercise: Drawable, clefs: tuple[ScoreLayouts, ...], tonic: Pitch, thumbnail: bool
) -> Engraved:
    slug, score, chorus = exercise.slug, exercise.score, exercise.chorus
    if score.file is None:
        drawings = KeyLayouts(clefs[0], tonic, draw).drawings(thumbnail)
    else:
        labels = part_labels(score.file, chorus)
        drawings = file_layouts(score.file, tonic, draw_in_worker, thumbnail, labels)
    wide, narrow, small = drawings.wide, drawings.narrow, drawings.thumbnail
    words = describe(exercise.title, score, chorus, tonic)
    symbols: dict[str, str] = {}
    for drawing in (wide, narrow, small):
        if drawing is not None:
            symbols.update(drawing.svg.symbols)
    bass = None
    for layouts in clefs[1:]:
        low = KeyLayouts(layouts, tonic, draw).drawings(thumbnail=False)
        for drawing in filter(None, (low.wide, low.narrow)):
            symbols.update(drawing.svg.symbols)
        bass = BassClef(
            bass_readers(score, chorus),
            _element(low.wide, slug, words, layouts.suffix),
            _element(low.narrow, slug, words, layouts.suffix + NARROW.suffix)
            if low.narrow
            else None,
            layouts.legend,
        )
    return Engraved(
        tonic,
        _element(wide, slug, words),
        _element(narrow, slug, words, NARROW.suffix) if narrow else None,
        _element(small) if small else "",
        dict(sorted(symbols.items())),
        clefs[0].legend,
        bass,
    )


def _element(
    drawing: Drawing, slug: str = "", words: tuple[str, str] = ("", ""), suffix: str = ""
) -> str:
    """A drawing as an svg element. With a slug it has a title and a description. Without one it is
    a thumbnail, which is hidden from screen readers because a title stands beside it."""
    left, top, width, height = (f"{n:.0f}" for n in drawing.svg.box)
    if slug:
        head, text = f"{slug}-score{suffix}", f"{slug}-score-text{suffix}"
        role = f'role="img" aria-labelledby="{head} {text}"'
        title, description = (escape(w, quote=False) for w in words)
        described = f'<title id="{head}">{title}</title><desc id="{text}">{description}</desc>'
    else:
        role, described = 'aria-hidden="true"', ""
    return (
        f'<svg {role} width="{drawing.width}" height="{drawing.height}" '
        f'viewBox="{left} {top} {width} {height}" fill="currentColor" '
        f'font-family="{FAMILY},Times New Roman,Times,serif" font-size="{LYRIC_SIZE}">'
        f"{described}{drawing.svg.body}</svg>"
    )
