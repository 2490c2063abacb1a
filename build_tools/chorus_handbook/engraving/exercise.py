"""Draws one exercise as svg elements: in each key a wide drawing and a narrow one for phones, and a
thumbnail of its first bars. The input is a score, read from our own notations or from a MusicXML
file. The output is one `Engraved` for each key, or markup."""

from __future__ import annotations

from dataclasses import replace
from html import escape
from typing import TYPE_CHECKING

from chorus_handbook.engraving.describe import drawing_title
from chorus_handbook.engraving.engine import draw, draw_in_worker
from chorus_handbook.engraving.engraved import NOTES_IN_WORDS, BassClef, Drawable, Engraved
from chorus_handbook.engraving.file_layouts import file_layouts
from chorus_handbook.engraving.layouts import NARROW, Drawing, KeyLayouts, ScoreLayouts
from chorus_handbook.engraving.lyric_font import FAMILY
from chorus_handbook.engraving.notes_in_words import notes_in_words
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
    """Draw one exercise in the key on `tonic`. If `thumbnail` is false, the result has an empty
    thumbnail. Raises EngravingError."""
    exercise = Drawable(slug, title, score, chorus, (tonic,))
    return _in_key(exercise, layouts_in_clefs(score, chorus), tonic, thumbnail)


def engrave_in_keys(exercise: Drawable) -> tuple[Engraved, ...]:
    """Draw one exercise in all its keys, the first of them with a thumbnail and its notes in words.
    Raises EngravingError."""
    score, chorus = exercise.score, exercise.chorus
    clefs = layouts_in_clefs(score, chorus)
    first, *others = (
        _in_key(exercise, clefs, tonic, thumbnail=n == 0) for n, tonic in enumerate(exercise.tonics)
    )
    words = notes_in_words(exercise.title, score, chorus, first.tonic)
    return (replace(first, words=words), *others)


def engrave_opening(exercise: Drawable, tonic: Pitch) -> tuple[str, dict[str, str]]:
    """Draw only the first bars of one exercise, as in a thumbnail, in the key on `tonic`. Returns
    the svg element and the symbols that it refers to, keyed by id. Raises EngravingError."""
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
    """The layouts that all keys share: the usual one, and one in bass clef if any voice reads
    that."""
    usual = ScoreLayouts(score, chorus)
    return (usual, ScoreLayouts(score, chorus, "bass")) if bass_readers(score, chorus) else (usual,)


def _in_key(
    exercise: Drawable, clefs: tuple[ScoreLayouts, ...], tonic: Pitch, thumbnail: bool
) -> Engraved:
    """Draw an exercise in one key; `clefs` are the layouts of `layouts_in_clefs`."""
    score, chorus = exercise.score, exercise.chorus
    if score.file is None:
        drawings = KeyLayouts(clefs[0], tonic, draw).drawings(thumbnail)
    else:
        labels = part_labels(score.file, chorus)
        drawings = file_layouts(score.file, tonic, draw_in_worker, thumbnail, labels)
    wide, narrow, small = drawings.wide, drawings.narrow, drawings.thumbnail
    title = drawing_title(exercise.title, score, tonic)
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
            _element(low.wide, title, layouts.suffix),
            _element(low.narrow, title, layouts.suffix + NARROW.suffix) if low.narrow else None,
            layouts.legend,
        )
    return Engraved(
        tonic,
        _element(wide, title),
        _element(narrow, title, NARROW.suffix) if narrow else None,
        _element(small) if small else "",
        dict(sorted(symbols.items())),
        clefs[0].legend,
        bass,
    )


def _element(drawing: Drawing, title: str = "", suffix: str = "") -> str:
    """A drawing as an svg element. With a title, it is an image of that name, which leads to the
    notes in words, and `data-suffix` says how its ids end. Without one it is a thumbnail, which is
    hidden from screen readers because a title stands beside it."""
    left, top, width, height = (f"{n:.0f}" for n in drawing.svg.box)
    role = 'aria-hidden="true"'
    if title:
        role = (
            f'role="img" aria-label="{escape(title)}" aria-describedby="{NOTES_IN_WORDS}" '
            f'data-suffix="{suffix}"'
        )
    return (
        f'<svg {role} width="{drawing.width}" height="{drawing.height}" '
        f'viewBox="{left} {top} {width} {height}" fill="currentColor" '
        f'font-family="{FAMILY},Times New Roman,Times,serif" font-size="{LYRIC_SIZE}">'
        f"{drawing.svg.body}</svg>"
    )
