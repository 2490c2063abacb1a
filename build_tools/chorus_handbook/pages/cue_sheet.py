"""Makes the cue sheet: a warm-up on one sheet of paper, for whoever leads it at short notice. It is
part of the warm-up's page, and visible only in print."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import _, inside, joined, listed
from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.engraving.engraved import sprite
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.pages import words
from chorus_handbook.pages.dates import long_date
from chorus_handbook.pages.html import render
from chorus_handbook.pages.order_rows import MOST_WORDS, OrderRow, routine_minutes
from chorus_handbook.records import Exercise
from chorus_handbook.records.parts import Thumbnail
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.running_order import MINUTE, RunningOrder
from chorus_handbook.warmups.texts import WrittenPlan

#: With more items than this, scale numbers replace the staves, so that the text need not shrink.
MOST_STAVES = 8
#: With more rows than `_ROOMY`, a step has no more than `_FEWER_WORDS` words, so that everything
#: fits on one sheet.
_ROOMY, _FEWER_WORDS = 6, 10
#: A line of notation that has no notes, such as "meter: 3/4".
_HEADER = re.compile(r"^(meter|pickup|mode|octave|words)\s*:")


def cue_sheet(
    text: WrittenPlan,
    order: RunningOrder,
    rows: Sequence[OrderRow],
    joins: int,
    vocabulary: Vocabulary,
) -> Markup:
    """The HTML of the sheet, with an empty place for each staff, which `staves` fills. `joins` is
    the number of the item after which late singers join in, or 0."""
    front = text.front
    head: list[str] = []
    if isinstance(front, WarmUpFields):
        head = [
            _(
                "{date}, {begins} to {ends}",
                date=long_date(front.day),
                begins=front.starts,
                ends=clock.time_of_day(front.begins, round(front.minutes * MINUTE)),
            ),
            _("led by {name}", name=front.leader) if front.leader else "",
            _("at the piano: {name}", name=front.pianist) if front.pianist else "",
            front.room or "",
            leads_into(front, vocabulary),
        ]
    else:
        head = [_("{n} min in all", n=routine_minutes(order))]
    staves_fit = len(rows) <= MOST_STAVES
    # The number of the first item with each exercise: a later one refers to it ("as item 2").
    first_number = {row.item.exercise: row.number for row in reversed(rows)}
    return render(
        "cue_sheet.html",
        title=text.title,
        head=[line for line in head if line],
        rows=[
            {
                "row": row,
                "stave": late_name(row) if staves_fit and row.exercise.drawings else "",
                "as_item": first if (first := first_number[row.item.exercise]) < row.number else 0,
                "numbers": "" if staves_fit else scale_numbers(row),
                "steps": row.short_steps(MOST_WORDS if len(rows) <= _ROOMY else _FEWER_WORDS),
                "starts": row.key_rows[0].starts if row.key_rows and _differ(row) else "",
            }
            for row in rows
        ],
        joins=joins,
    )


def leads_into(front: WarmUpFields, vocabulary: Vocabulary) -> str:
    """The piece that follows the warm-up, with its first chord, and the goals that it asks for;
    empty if none of them is named."""
    leads = front.leads_into
    if leads is None:
        return ""
    chord = joined(words.note(note) for note in reversed(leads.first_chord.values()))
    goals = [vocabulary.goals[goal].label for goal in leads.goals if goal in vocabulary.goals]
    asks = _("asks for {goals}", goals=listed(map(inside, goals))) if goals else ""
    if leads.piece and chord:
        follows = _("Leads into {piece}: {notes}", piece=leads.piece, notes=chord)
    elif leads.piece:
        follows = _("Leads into {piece}", piece=leads.piece)
    elif chord:
        follows = _("Ends on the chord {notes}", notes=chord)
    else:
        return _("What follows {asks}", asks=asks) if asks else ""
    # Translators: {follows} is such as "Leads into Two carols", {asks} "asks for blend".
    return _("{follows}; {asks}", follows=follows, asks=asks) if asks else follows


def staves(
    rows: Sequence[OrderRow], opening: Callable[[Exercise, str], Thumbnail | None]
) -> dict[str, Markup]:
    """The drawing of the first bars of each item in its first planned key, by `late_name`, and the
    sprite (the SVG symbols) that the drawings refer to. `opening` draws an exercise in the key of
    a tonic, or in its first key if that is empty."""
    late: dict[str, Markup] = {}
    symbols: dict[str, str] = {}
    for row in rows if len(rows) <= MOST_STAVES else ():
        first = row.key_rows[0].tonic if row.key_rows else ""
        drawn = opening(row.exercise, first) if row.exercise.drawings else None
        if drawn:
            late[late_name(row)] = Markup(drawn.svg)
            symbols |= drawn.symbols
    late["sprite"] = Markup(sprite(dict(sorted(symbols.items()))))
    return late


def late_name(row: OrderRow) -> str:
    """The name of the place in the page where the staff of an item goes."""
    return f"stave-{row.number}"


def scale_numbers(row: OrderRow) -> str:
    """The first line of notes in scale numbers, as its author wrote it but without the name of the
    voice; empty if the exercise is not written in scale numbers."""
    notation = row.exercise.entry.source.notation
    if notation is None or notation.kind != "degrees":
        return ""
    lines = (line.strip() for line in notation.text.splitlines())
    first = next((line for line in lines if line and not _HEADER.match(line)), "")
    return first.partition(":")[2].strip()


def _differ(row: OrderRow) -> bool:
    """Whether voices begin on different notes; the same note in another octave is not different."""
    return len({note % 12 for note in row.key_rows[0].notes}) > 1
