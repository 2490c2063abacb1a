"""The music stand: a full-screen view from which a warm-up or a routine is led.

It shows one item at a time, large enough to be read from a metre away. It is a hidden part of the
warm-up's page and contains everything it needs, so it goes on working without a connection while
the page stays open. `browser/stand.js` opens and runs it.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.music.score import LEADER
from chorus_handbook.pages import attendance, words
from chorus_handbook.pages.html import render
from chorus_handbook.pages.order_rows import MOST_STEPS, KeyRow, OrderRow
from chorus_handbook.pages.page import FOLDER, link
from chorus_handbook.pitch import Pitch
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.texts import WrittenPlan

if TYPE_CHECKING:
    from chorus_handbook.warmups.play_through import Passage


def stand(
    text: WrittenPlan,
    rows: Sequence[OrderRow],
    joins: int,
    played: Sequence[Passage],
    chorus: Chorus,
    vocabulary: Vocabulary,
) -> Markup:
    """The HTML of the music stand, the screen from which a warm-up or a routine is led.

    joins: the number of the item after which late singers join in, or 0.
    played: for a routine, what happens during each row while it plays by itself; empty for a
        warm-up.

    The script `browser/stand_scores.js` fetches scores from the exercises' pages."""
    front = text.front
    slots = clock.timetable([row.planned for row in rows])
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
                **stand_item(text.page, row, vocabulary),
                "about": _about(row, slot, front, joins, chorus),
                "steps": _steps(row, passage),
                "passage": _passage(passage) if passage else "",
                "planned_keys": json.dumps([key_data(key) for key in row.key_rows]),
                "absent": " ".join(_absent(row)),
                "following": _following(rows[row.number]) if row.number < len(rows) else "",
            }
            for row, slot, passage in zip_longest(rows, slots, played)
        ],
    )


def empty_stand(page: str, chorus: Chorus) -> Markup:
    """The HTML of a music stand without items, for the page on which a warm-up is put together; the
    browser adds the items."""
    return render(
        "stand.html",
        title="",
        slug="",
        chorus=chorus.name,
        minutes="",
        dated=True,
        instrument=link(page, f"{FOLDER}/instrument.json"),
        items=[],
    )


def stand_item(page: str, row: OrderRow, vocabulary: Vocabulary) -> dict[str, Any]:
    """The values for an item's screen on the music stand that depend only on its row, not on the
    rest of the plan. Links start from the page at the path `page`."""
    return {
        "row": row,
        "steps": _steps(row, None),
        "tops": _highest_first(row),
        "notes": link(page, f"{FOLDER}/{row.exercise.slug}/notes.json")
        if row.exercise.sound
        else "",
        "caution": _caution(row, vocabulary),
        "score": row.link if row.exercise.drawings else "",
    }


def key_data(key: KeyRow) -> dict[str, Any]:
    """A key as `browser/stand_keys.js` reads it."""
    return {
        "tonic": key.tonic,
        "midi": Pitch.parse(key.tonic).midi,
        "name": key.key,
        "starts": key.starts,
        "notes": key.notes,
    }


def _steps(row: OrderRow, passage: Passage | None) -> Sequence[Markup]:
    """The first steps of an item, or all steps if the routine plays by itself and goes through them
    one by one."""
    one_by_one = passage and not passage.keys
    return row.steps if one_by_one else row.steps[:MOST_STEPS]


def _passage(passage: Passage) -> str:
    """What `browser/play_through.js` needs of a passage, as JSON. (The voices that are absent are
    in the item's own data: `absent`.)"""
    return json.dumps({"timed": passage.timed, "keys": passage.keys, "step": passage.step})


def _about(row: OrderRow, slot: clock.Slot, front: object, joins: int, chorus: Chorus) -> list[str]:
    """What the leader must know of an item before it begins: how the singers stand, who leads it,
    whether it may be left out, and who comes late or leaves."""
    return [
        row.formation,
        _("by {name}", name=row.by) if row.by else "",
        _("only if there is time") if row.if_time else "",
        *attendance.during(front, slot, chorus),
        _("those who are late come in here") if joins and row.number == joins + 1 else "",
    ]


def _highest_first(row: OrderRow) -> list[KeyRow]:
    """Each planned key once, the highest first."""
    once = {key.tonic: key for key in row.key_rows}
    return sorted(once.values(), key=lambda key: Pitch.parse(key.tonic).midi, reverse=True)


def _absent(row: OrderRow) -> list[str]:
    """The voices of an item that are not played, because their singers are absent; none if no other
    voice would be left."""
    voices = [voice.voice for voice in row.exercise.facts.voices] if row.exercise.facts else []
    away = [voice for voice in voices if voice not in row.planned.there and voice != LEADER]
    return away if len(away) < len(voices) else []


def _caution(row: OrderRow, vocabulary: Vocabulary) -> str:
    """The text of an item's most serious caution: the first in the vocabulary's order. Empty if it
    has none."""
    return vocabulary.cautions[row.cautions[0]].text if row.cautions else ""


def _following(row: OrderRow) -> str:
    """What to announce as the next item: "Next: In a circle. Five vowels. Give D." """
    item = f"{row.moves}. {row.title}" if row.moves else row.title
    if not row.key_rows:
        return _("Next: {item}", item=item)
    given = words.note(row.key_rows[0].tonic[:-1])  # without its octave
    return _("Next: {item}. Give {note}.", item=item, note=given)
