"""Makes the strip for whoever plays the piano or gives the notes by voice: one line for each item
of a warm-up. It is a part of the warm-up's page, and can be printed alone."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from chorus_handbook.catalogue import _
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render
from chorus_handbook.pages.order_rows import KeyRow, OrderRow
from chorus_handbook.pitch import Pitch

#: A tuning fork sounds A: nine semitones above C, and five letters.
_FORK, _FORK_STEP = 9, 5


def strip(title: str, rows: Sequence[OrderRow], when: str = "") -> Markup:
    """The HTML of the strip with the notes to give before each item; empty if no item has
    notes. `when` is the date and time of a warm-up, which is printed with its title."""
    if not any(row.key_rows for row in rows):
        return Markup()
    return render(
        "strip.html",
        title=title,
        when=when,
        rows=[
            {
                "row": row,
                "give": give(row, row.key_rows[0]) if row.key_rows else "",
                "fork": from_fork(Pitch.parse(row.key_rows[0].tonic)) if row.key_rows else "",
            }
            for row in rows
        ],
    )


def give(row: OrderRow, first: KeyRow) -> str:
    """What is played before the `first` key: "chord D minor", or only "note D". It is a note if the
    exercise has no chords between its keys, if it has only one pitch, or if its main goal is
    tuning, because a chord of the piano would settle the tuning (our choice)."""
    bare = (
        not row.exercise.front.lead_in or not row.planned.span or row.planned.main_goal == "tuning"
    )
    if bare:
        return _("note {note}", note=words.note(first.tonic[:-1]))  # without its octave
    return _("chord {key}", key=first.key)


def from_fork(tonic: Pitch) -> str:
    """How to find a tonic from the A of a tuning fork: up or down, whichever is nearer, with the
    interval named as it is spelled: "down a fifth", "up a diminished fifth"."""
    up = (tonic.midi - _FORK) % 12
    steps = (tonic.step - _FORK_STEP) % 7
    if up == 0:
        return _("the fork’s own note")
    if up <= 6:
        return _("up {interval}", interval=words.interval(steps, up))
    return _("down {interval}", interval=words.interval((7 - steps) % 7, 12 - up))
