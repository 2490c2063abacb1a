"""Makes the cue sheet: a warm-up on one sheet of paper, for whoever leads it at short notice. It is
part of the warm-up's page, and visible only in print."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import _, joined
from chorus_handbook.engraving.engraved import Engraved, sprite
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.pages import words
from chorus_handbook.pages.dates import long_date
from chorus_handbook.pages.html import render
from chorus_handbook.pages.order_rows import MOST_WORDS, OrderRow, total_minutes
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.running_order import MINUTE, RunningOrder
from chorus_handbook.warmups.texts import WrittenPlan

#: With more items than this, scale numbers replace the staves, so that the text need not shrink.
MOST_STAVES = 8
#: With more rows than these, steps have fewer words, so that all stays on one sheet.
_ROOMY, _FEWER_WORDS = 6, 10
_HEADER = re.compile(r"^(meter|pickup|mode|octave|words)\s*:")


def cue_sheet(
    text: WrittenPlan, order: RunningOrder, rows: Sequence[OrderRow], joins: int
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
            leads_into(front),
        ]
    else:
        head = [_("It takes {n} min.", n=total_minutes(order))]
    staves_fit = len(rows) <= MOST_STAVES
    return render(
        "cue_sheet.html",
        title=text.title,
        head=[line for line in head if line],
        rows=[
            {
                "row": row,
                "stave": late_name(row) if staves_fit and row.exercise.drawings else "",
                "numbers": "" if staves_fit else scale_numbers(row),
                "steps": row.short_steps(MOST_WORDS if len(rows) <= _ROOMY else _FEWER_WORDS),
                "starts": row.key_rows[0].starts if row.key_rows and _differ(row) else "",
            }
            for row in rows
        ],
        joins=joins,
    )


def leads_into(front: WarmUpFields) -> str:
    """The piece that follows the warm-up, with its first chord; empty if neither is named."""
    leads = front.leads_into
    if leads is None:
        return ""
    chord = joined(words.note(note) for note in reversed(leads.first_chord.values()))
    if leads.piece and chord:
        return _("Leads into {piece}: {notes}", piece=leads.piece, notes=chord)
    if leads.piece:
        return _("Leads into {piece}", piece=leads.piece)
    return _("Ends on the chord {notes}", notes=chord) if chord else ""


def staves(
    rows: Sequence[OrderRow], drawings: Callable[..., Sequence[Engraved]]
) -> dict[str, Markup]:
    """The drawing of the first bars of each item, by `late_name`, and the sprite (the SVG symbols)
    that the drawings refer to."""
    late: dict[str, Markup] = {}
    symbols: dict[str, str] = {}
    for row in rows:
        drawn = drawings(row.exercise) if row.exercise.drawings else ()
        if drawn and len(rows) <= MOST_STAVES:
            late[late_name(row)] = Markup(drawn[0].thumbnail)
            symbols |= drawn[0].symbols
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
