"""Draws scores: makes the SVG pictures of the music in pages, in every key.

The steps: a score is laid out once for all keys (`staves`, `measures`, `rhythm`, joined in
`written`); written in one key as MEI, a music format in XML (`mei`); drawn by verovio, the engraver
(`engine`, which alone imports it); and made smaller (`compact`). `layouts` and `systems` decide
where a new system (row of staves) begins. `notes_in_words` writes out all notes for singers who do
not see the drawing, and `describe` gives the drawing a name for them. A score from a notation
editor is drawn from its own file instead (`score_file`, `file_layouts`), in a process with limits.

Ids: a note in the wide drawing has the id of the score's `Note`; when voices share a staff, that of
the first of them. Notes tied to it add "-2", "-3" and so on. When a voice divides, the highest note
has this id, and those below it add ".2", ".3". Grace notes have the id of the note after them and
add ".g1", ".g2". In the narrow drawing ids end in ".n", in bass clef in ".b" or ".b.n", so that all
can be in one page; a drawing names its ending in `data-suffix`. Thumbnails have no ids.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from chorus_handbook.problems import Problem

if TYPE_CHECKING:
    from chorus_handbook.entries.model import Entry

_HINT = (
    "Write the notation more simply, or as two exercises. The checks found nothing wrong with the "
    "exercise itself, so please report this message to whoever maintains the program."
)
_FILE_HINT = (
    "Change or remove that in the notation editor, and export the score again. Also remove what a "
    "choir does not need, such as signs for instruments."
)


def drawing_problem(entry: Entry, error: str) -> Problem:
    """The problem of an exercise that could not be drawn. `error` is the engraver's message."""
    notation = entry.source.notation
    hint = _FILE_HINT if notation and notation.kind == "score" else _HINT
    place = notation.place if notation else entry.source.place_of()
    return Problem(place, "engraving", f"The score could not be drawn: {error}.", hint)
