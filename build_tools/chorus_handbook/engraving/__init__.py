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
from typing import TYPE_CHECKING

from chorus_handbook.engraving.engine import EngravingError, Options
from chorus_handbook.engraving.exercise import Engraved, Exercise, engrave_in_key, sprite
from chorus_handbook.engraving.pool import draw_all
from chorus_handbook.engraving.store import keep, key, stored
from chorus_handbook.problems import Problem

if TYPE_CHECKING:
    from chorus_handbook.cache import Cache
    from chorus_handbook.chorus.model import Chorus
    from chorus_handbook.entries.model import Entries, Entry
    from chorus_handbook.music import Music
    from chorus_handbook.music.score import Score

__all__ = ["Engraved", "EngravingError", "Options", "engrave", "engrave_in_key", "sprite"]

_HINT = (
    "The checks found nothing wrong with the exercise itself. Write the notation more simply, or "
    "as two exercises, and report this message to whoever maintains the program."
)
_FILE_HINT = (
    "Change or remove that in the notation editor, and export the score again. Leave out what a "
    "choir does not need, such as signs for instruments."
)


def engrave(
    music: Music, entries: Entries, chorus: Chorus, cache: Cache
) -> tuple[Mapping[str, tuple[Engraved, ...]], list[Problem]]:
    """Draw every exercise that was measured in all its keys, by slug: each key once, in singing
    order, the first with a thumbnail."""
    asked = {}
    for entry in entries.entries:
        score, facts = music.scores.get(entry.slug), music.facts.get(entry.slug)
        if score is not None and facts is not None and facts.keys and score.parts:
            tonics = tuple(dict.fromkeys(facts.keys))
            asked[entry.slug] = Exercise(entry.slug, entry.front.title, score, chorus, tonics)
    keys = {slug: key(exercise) for slug, exercise in asked.items()}
    found = {slug: stored(keys[slug], exercise, cache) for slug, exercise in asked.items()}
    problems: list[Problem] = []
    entry_of = {entry.slug: entry for entry in entries.entries}
    wanted = [exercise for slug, exercise in asked.items() if found[slug] is None]
    for slug, drawn in draw_all(wanted).items():
        if isinstance(drawn, str):
            problems.append(drawing_problem(entry_of[slug], asked[slug].score, drawn))
        else:
            found[slug] = drawn
            keep(keys[slug], drawn, cache)
    return {slug: drawn for slug, drawn in found.items() if drawn is not None}, problems


def drawing_problem(entry: Entry, score: Score, error: str) -> Problem:
    """A score that could not be drawn; `error` is what the engraver said."""
    hint = _FILE_HINT if score.file else _HINT
    notation = entry.source.notation
    place = notation.place if notation else entry.source.place_of()
    return Problem(place, "engraving", f"The score could not be drawn: {error}.", hint)
