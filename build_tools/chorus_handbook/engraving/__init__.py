"""Scores into drawings that stand in a page.

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

from typing import TYPE_CHECKING

from chorus_handbook.engraving.engine import EngravingError, Options
from chorus_handbook.engraving.exercise import (
    Drawable,
    Engraved,
    engrave_in_key,
    engrave_in_keys,
    sprite,
)
from chorus_handbook.problems import Problem

if TYPE_CHECKING:
    from chorus_handbook.entries.model import Entry

__all__ = [
    "Drawable",
    "Engraved",
    "EngravingError",
    "Options",
    "drawing_problem",
    "engrave_in_key",
    "engrave_in_keys",
    "sprite",
]

_HINT = (
    "The checks found nothing wrong with the exercise itself. Write the notation more simply, or "
    "as two exercises, and report this message to whoever maintains the program."
)
_FILE_HINT = (
    "Change or remove that in the notation editor, and export the score again. Leave out what a "
    "choir does not need, such as signs for instruments."
)


def drawing_problem(entry: Entry, error: str) -> Problem:
    """A score that could not be drawn; `error` is what the engraver said."""
    notation = entry.source.notation
    hint = _FILE_HINT if notation and notation.kind == "score" else _HINT
    place = notation.place if notation else entry.source.place_of()
    return Problem(place, "engraving", f"The score could not be drawn: {error}.", hint)
