"""Shows the key ladder of an exercise (which voice can sing in which key) as a chart and in words.

The chart is an HTML table, so that it can be read aloud, selected and printed. Each state has a
shape and a word as well as a colour: a full disc is comfortable, a ring the edge of the range, a
cross out of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from markupsafe import Markup

from chorus_handbook.catalogue import _, listed, ngettext
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.voices import Ladder, Rung

#: Keys in one row of a chart, so that it fits a phone.
_MOST_KEYS = 13
_SHARED = FACTS["ladder"]  # browser/own_range_row.js has the same signs and words


def ladder_chart(ladder: Ladder | None, chorus: Chorus) -> Markup:
    """The chart that shows which voice can sing in which key, as HTML; empty without a ladder."""
    if ladder is None or not ladder.rungs:
        return Markup()
    rungs = ladder.rungs
    begins = range(0, len(rungs), _MOST_KEYS)
    return render(
        "exercise_ladder.html",
        legend=list(_legend()),
        charts=[_chart(ladder, range(n, min(n + _MOST_KEYS, len(rungs))), chorus) for n in begins],
    )


def _legend() -> Iterator[tuple[str, str]]:
    """Each sign with its meaning."""
    signs = _SHARED["signs"]
    yield signs["comfortable"], _(_SHARED["words"]["comfortable"]["neither"])
    yield signs["edge"], _("near the top or near the bottom")
    yield signs["out"], _("too high or too low")


def _chart(ladder: Ladder, shown: range, chorus: Chorus) -> dict[str, Any]:
    """The values of one table, for the keys with the indexes `shown`."""
    rungs = [ladder.rungs[place] for place in shown]
    rows = []
    for name in rungs[0].voices:
        cells = []
        for rung in rungs:
            step = rung.voices[name]
            if step.octaves:
                sign, word = "octave", _SHARED["words"]["octave"][str(step.octaves)]
            else:
                # A note outside the comfortable range that is not sustained is only "touched".
                touched = step.state == "edge" and not step.sustains_outside
                sign = step.state
                word = _SHARED["words"]["touched" if touched else step.state][step.end]
            shape = _SHARED["signs"][sign]
            cells.append(
                {"shape": shape, "word": _(word), "state": step.state, "key": str(rung.tonic)}
            )
        place = ladder.steps_out(name)
        leaves = _leaves(ladder, place) if place is not None and place in shown else ""
        rows.append({"voice": chorus.voices[name].label, "leaves": leaves, "cells": cells})
    tonics = [(str(rung.tonic), words.note(rung.tonic.letter)) for rung in rungs]
    return {"tonics": tonics, "rows": rows}


def _leaves(ladder: Ladder, place: int) -> str:
    """The words beside a voice's name that say from which key (index `place`) it does not sing."""
    if not place:
        return _("out from the start")
    return _("out after {key}", key=_key(ladder.rungs[place - 1]))


def leaving(ladder: Ladder | None, chorus: Chorus) -> Iterator[str]:
    """Sentences that say which voices stop singing after which key, and up to which key all notes
    of the chord can be sung; none without a ladder."""
    if ladder is None or not ladder.rungs:
        return
    rungs = ladder.rungs
    labels_at: dict[int, list[str]] = {}
    for name in rungs[0].voices:
        place = ladder.steps_out(name)
        if place is not None:
            labels_at.setdefault(place, []).append(chorus.voices[name].label)
    if not labels_at:
        all_comfortable = all(
            s.state == "comfortable" for rung in rungs for s in rung.voices.values()
        )
        if len(rungs) == 1:
            return
        if all_comfortable:
            yield _("Every voice is well in range in every key.")
        else:
            yield _("Every voice can sing all keys.")
        return
    for place, labels in sorted(labels_at.items()):
        who, many = listed(labels), len(labels)
        if place:
            yield ngettext(
                "{voices} steps out after the key of {key}.",
                "{voices} step out after the key of {key}.",
                many,
                voices=who,
                key=_key(rungs[place - 1]),
            )
        else:
            yield ngettext(
                "{voices} steps out from the start.",
                "{voices} step out from the start.",
                many,
                voices=who,
            )
    last, chord = ladder.last_for_all, ladder.last_for_chord
    if len(ladder.lines) > 1 and chord is not None and chord != last:
        yield _("The whole chord stands as far as {key}.", key=_key(rungs[chord]))


def _key(rung: Rung) -> str:
    return words.note(rung.tonic)
