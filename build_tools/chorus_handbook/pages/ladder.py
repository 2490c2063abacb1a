"""The key ladder of an exercise: a chart of voices and keys, and what it comes to in words.

The chart is a table, so that it can be heard, selected and printed as it is. A state is a shape and
a word as well as a tone: a full disc is comfortable, a ring the edge, a cross out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from markupsafe import Markup

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.pages import words
from chorus_handbook.pages.html import render
from chorus_handbook.shared_facts import FACTS
from chorus_handbook.voices import Ladder, Rung

#: Keys in one row of a chart, so that it fits a phone.
_MOST_KEYS = 13
_SHARED = FACTS["ladder"]  # browser/own_row.js has the same signs and words


def ladder_chart(ladder: Ladder | None, chorus: Chorus) -> Markup:
    """The chart and its sentences; empty without a ladder of several keys or voices to show."""
    if ladder is None or not ladder.rungs:
        return Markup()
    rungs = ladder.rungs
    begins = range(0, len(rungs), _MOST_KEYS)
    return render(
        "exercise_ladder.html",
        legend=list(_legend()),
        sentences=list(_sentences(ladder, chorus)),
        charts=[_chart(ladder, range(n, min(n + _MOST_KEYS, len(rungs))), chorus) for n in begins],
    )


def _legend() -> Iterator[tuple[str, str]]:
    """What each sign of a state means."""
    for state, words_by_end in _SHARED["words"].items():
        ends = [word for end, word in words_by_end.items() if end != "both"]
        yield _SHARED["signs"][state], " or ".join(ends)


def _chart(ladder: Ladder, shown: range, chorus: Chorus) -> dict[str, Any]:
    """One table: the keys whose places are `shown`."""
    rungs = [ladder.rungs[place] for place in shown]
    rows = []
    for name in rungs[0].voices:
        cells = []
        for rung in rungs:
            step = rung.voices[name]
            shape, word = _SHARED["signs"][step.state], _SHARED["words"][step.state][step.end]
            if step.octaves:
                shape = _SHARED["signs"]["octave"]
                word = f"{_SHARED['octaves'][str(step.octaves)]} from here"
            elif step.state == "edge" and not step.holds:
                word += ", touched"
            cells.append(
                {"shape": shape, "word": word, "state": step.state, "key": str(rung.tonic)}
            )
        place = ladder.steps_out(name)
        leaves = _leaves(ladder, place) if place is not None and place in shown else ""
        rows.append({"voice": chorus.voices[name].label, "leaves": leaves, "cells": cells})
    tonics = [(str(rung.tonic), words.note(rung.tonic.letter)) for rung in rungs]
    return {"tonics": tonics, "rows": rows}


def _leaves(ladder: Ladder, place: int) -> str:
    """Where a voice steps out, beside its name."""
    return f"out after {_key(ladder.rungs[place - 1])}" if place else "out from the start"


def _sentences(ladder: Ladder, chorus: Chorus) -> Iterator[str]:
    """Who steps out where, and how far all, or the whole chord, can go."""
    rungs = ladder.rungs
    leaving: dict[int, list[str]] = {}
    for name in rungs[0].voices:
        place = ladder.steps_out(name)
        if place is not None:
            leaving.setdefault(place, []).append(chorus.voices[name].label)
    if not leaving:
        easy = all(s.state == "comfortable" for rung in rungs for s in rung.voices.values())
        if len(rungs) == 1:
            return
        yield (
            "Every voice is comfortable in every key." if easy else "Every voice can sing all keys."
        )
        return
    for place, labels in sorted(leaving.items()):
        who, steps = words.listed(labels), "step" if len(labels) > 1 else "steps"
        after = f"after the key of {_key(rungs[place - 1])}" if place else "from the start"
        yield f"{who} {steps} out {after}."
    last, chord = ladder.last_for_all, ladder.last_for_chord
    if len(ladder.lines) > 1 and chord is not None and chord != last:
        yield f"The whole chord stands as far as {_key(rungs[chord])}."


def _key(rung: Rung) -> str:
    return words.note(rung.tonic)
