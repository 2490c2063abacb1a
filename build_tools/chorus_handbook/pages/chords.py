"""The chords of an exercise for whoever plays along, bar by bar."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from operator import attrgetter

from markupsafe import Markup

from chorus_handbook.music.chord_names import NamedChord
from chorus_handbook.music.facts import Facts
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render


def chord_bars(chords: Sequence[NamedChord], facts: Facts) -> Markup:
    """Each bar in which a chord begins, with Roman numerals and the first key's symbols; empty
    without chords."""
    if not chords:
        return Markup()
    tonic = facts.keys[0]
    return render(
        "exercise_chords.html",
        key=words.key(tonic, facts.mode),
        bars=[
            (bar, [(one.name.numeral(facts.mode), one.name.symbol(tonic)) for one in inside])
            for bar, inside in groupby(chords, attrgetter("bar"))
        ],
    )
