"""The music stand: a full-screen view from which a warm-up or a routine is led.

It shows one item at a time, large enough to be read from a metre away. It is a hidden part of the
warm-up's page and contains everything it needs, so it goes on working without a connection while
the page stays open. `browser/stand.js` opens and runs it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.engraving.engraved import Engraved
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.pages import words
from chorus_handbook.pages.figure import score_figure
from chorus_handbook.pages.html import render
from chorus_handbook.pages.order_rows import MOST_STEPS, OrderRow
from chorus_handbook.pages.page import FOLDER, link
from chorus_handbook.pages.starts import Starts
from chorus_handbook.warmups.texts import WrittenPlan


def stand(
    text: WrittenPlan, rows: Sequence[OrderRow], chorus: Chorus, vocabulary: Vocabulary
) -> Markup:
    """The HTML of the stand, with an empty place for each score. `scores` makes what goes there: it
    is slower, so it is made only when the page is written."""
    front = text.front
    dated = isinstance(front, WarmUpFields)
    return render(
        "stand.html",
        title=text.title,
        slug=text.source.slug,
        chorus=chorus.name,
        minutes=f"{front.minutes:g}" if isinstance(front, WarmUpFields) else "",
        dated=dated,
        instrument=link(text.page, f"{FOLDER}/instrument.json"),
        items=[
            {
                "row": row,
                "steps": row.steps[:MOST_STEPS],
                "planned_keys": json.dumps(
                    [[key.tonic, key.key, key.starts, *key.notes] for key in row.key_rows]
                ),
                "notes": link(text.page, f"{FOLDER}/{row.exercise.slug}/notes.json")
                if row.exercise.sound
                else "",
                "caution": _caution(row, vocabulary),
                "following": _following(rows[row.number]) if row.number < len(rows) else "",
                "score": score_name(row) if row.exercise.drawings else "",
            }
            for row in rows
        ],
    )


def scores(
    rows: Sequence[OrderRow], drawings: Callable[..., Sequence[Engraved]]
) -> dict[str, Markup]:
    """The scores for the stand, by `score_name`: for each item, its score in the first planned key.
    Each is inside a <template>, because drawings of different exercises use the same ids."""
    late: dict[str, Markup] = {}
    for row in rows:
        drawn = drawings(row.exercise) if row.exercise.drawings else ()
        first = row.key_rows[0].tonic if row.key_rows else ""
        chosen = [one for one in drawn if str(one.tonic) == first] or list(drawn[:1])
        if chosen:
            figure = score_figure(chosen[:1], Starts(Markup(), {}))
            late[score_name(row)] = Markup("<template>{}</template>").format(figure)
    return late


def score_name(row: OrderRow) -> str:
    """The name of the place in the page where the score of an item goes."""
    return f"stand-score-{row.number}"


def _caution(row: OrderRow, vocabulary: Vocabulary) -> str:
    """The text of an item's most serious caution: the first in the vocabulary's order. Empty if it
    has none."""
    return vocabulary.cautions[row.cautions[0]].text if row.cautions else ""


def _following(row: OrderRow) -> str:
    """What to announce as the next item: "Next: In a circle. Five vowels. Give D." """
    item = f"{row.moves}. {row.title}" if row.moves else row.title
    if not row.key_rows:
        return _("Next: {item}", item=item)
    given = words.note(row.key_rows[0].tonic[:-1])
    return _("Next: {item}. Give {note}.", item=item, note=given)
