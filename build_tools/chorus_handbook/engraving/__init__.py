"""Stage 6: scores into drawings that stand in a page.

A score is laid out on paper once (`staves`, `measures`, `rhythm`, all in `written`), written as
MEI in one key (`mei`), drawn by the engraver (`engine`, the only importer of verovio) and made
small (`compact`); `systems` and `layouts` decide how wide, `store` keeps what was drawn,
`describe` puts it in words. A score from a notation editor is drawn from its own file instead, as
its author made it (`score_file`, `file_layouts`), and only in the limited worker.

Ids. A note in the wide drawing has the id of the score's `Note`, that of the staff's first voice
where several share one; what is tied to it has "-2", "-3" ... behind that. Where a voice divides,
this is the id of the highest note; those below it have ".2", ".3" ... behind it, downward. Grace
notes have the id of the note that they stand before, with ".g1", ".g2" ... The narrow drawing's
ids end in ".n", so that both may stand in one page. Thumbnails have no ids. The title and
description of a drawing have the exercise's slug in front: "slack-water-score",
"slack-water-score-text", with ".n" behind them in the narrow drawing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from html import escape

from chorus_handbook.cache import Cache
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.engraving.describe import describe
from chorus_handbook.engraving.engine import EngravingError, Options
from chorus_handbook.engraving.file_layouts import file_layouts
from chorus_handbook.engraving.layouts import NARROW, Layouts, Sheet
from chorus_handbook.engraving.lyric_font import FAMILY
from chorus_handbook.engraving.store import drawn, drawn_files
from chorus_handbook.engraving.texts import LYRIC_SIZE
from chorus_handbook.entries.model import Entries, Entry
from chorus_handbook.music import Music
from chorus_handbook.music.score import Score
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem

__all__ = ["Engraved", "EngravingError", "Options", "engrave", "engrave_in_key", "sprite"]

_HINT = (
    "Nothing is wrong with how the exercise is written, as far as the checks can tell. Write the "
    "notation more simply, or in two exercises, and report the message to who keeps this program."
)
_FILE_HINT = (
    "Change that in the notation editor, or take it out, and export the score anew. What a choir "
    "does not need, such as signs for instruments, is best left out."
)


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


def engrave(
    music: Music, entries: Entries, chorus: Chorus, cache: Cache
) -> tuple[Mapping[str, Engraved], list[Problem]]:
    """Draw the first key of every exercise that was measured, by slug."""
    found: dict[str, Engraved] = {}
    problems: list[Problem] = []
    for entry in entries.entries:
        score, facts = music.scores.get(entry.slug), music.facts.get(entry.slug)
        if score is None or facts is None or not facts.keys or not score.parts:
            continue
        try:
            found[entry.slug] = engrave_in_key(
                entry.slug,
                entry.front.title,
                score,
                chorus=chorus,
                tonic=facts.keys[0],
                cache=cache,
            )
        except EngravingError as error:
            problems.append(drawing_problem(entry, score, str(error)))
    return found, problems


def engrave_in_key(
    slug: str,
    title: str,
    score: Score,
    *,
    chorus: Chorus,
    tonic: Pitch,
    cache: Cache,
    thumbnail: bool = True,
) -> Engraved:
    """Draw one exercise in the key on `tonic`; without a `thumbnail` that of the drawing is empty.
    Raises EngravingError."""
    if score.file is None:
        layouts = Layouts(score, chorus, tonic, partial(drawn, cache=cache))
        wide, narrow = layouts.wide(), layouts.narrow()
        small = layouts.thumbnail() if thumbnail else None
    else:
        drawings = file_layouts(score.file, tonic, partial(drawn_files, cache=cache))
        wide, narrow = drawings.wide, drawings.narrow
        small = drawings.thumbnail if thumbnail else None
    words = describe(title, score, chorus, tonic)
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


def drawing_problem(entry: Entry, score: Score, error: str) -> Problem:
    """A score that could not be drawn; `error` is what the engraver said."""
    hint = _FILE_HINT if score.file else _HINT
    notation = entry.source.notation
    place = notation.place if notation else entry.source.place_of()
    return Problem(place, "engraving", f"The score could not be drawn: {error}.", hint)
