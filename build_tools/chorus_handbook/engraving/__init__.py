"""From scores to the drawings that stand in a page.

A score is laid out once for all keys (`staves`, `measures`, `rhythm`, put together in `written`),
written as MEI in one key (`mei`), drawn by the engraver (`engine`, the only importer of verovio)
and compacted (`compact`). `layouts` and `systems` decide where systems break, `describe` says in
words what is drawn. A score from a notation editor is drawn from its own file instead, as its
author engraved it (`score_file`, `file_layouts`), and only in the worker, which has limits.

Ids. A note in the wide drawing has the id of the score's `Note`; where several voices share a
staff, that of the voice that is written. Notes tied to it add "-2", "-3" ... Where a voice divides,
the highest note has this id; those below it, downward, add ".2", ".3" ... Grace notes have the id
of the note they precede and add ".g1", ".g2" ... Ids of the narrow drawing end in ".n", those of
drawings in bass clef in ".b" or ".b.n", so that both may stand in one page. Thumbnails have no ids.
The title and the description of a drawing have ids that begin with the exercise's slug:
"slack-water-score", "slack-water-score-text"."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chorus_handbook.problems import Problem

if TYPE_CHECKING:
    from chorus_handbook.entries.model import Entry

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
