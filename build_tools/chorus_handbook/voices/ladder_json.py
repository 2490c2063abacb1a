"""The ladder for other programs, and for a reader at a terminal."""

from __future__ import annotations

from typing import Any

from chorus_handbook.voices.ladder import Ladder, Rung

_MARKS = {"comfortable": "easy", "edge": "edge", "out": "out"}


def ladder_as_json(ladder: Ladder) -> list[dict[str, Any]]:
    """A row a key, in singing order: its name, the tonic's MIDI number, and how each voice fares
    ("comfortable", "edge", "out")."""
    return [
        {
            "key": str(rung.tonic),
            "tonic_midi": rung.tonic.midi,
            "voices": {name: step.state for name, step in rung.voices.items()},
        }
        for rung in ladder.rungs
    ]


def ladder_as_text(ladder: Ladder) -> str:
    """A table of voices and keys, with the first note of every voice in the first key; empty when
    nobody sings a pitch."""
    if not ladder.rungs:
        return ""
    first = ladder.rungs[0]
    rows = [["key", *(str(rung.tonic) for rung in ladder.rungs), "begins on"]]
    rows += [
        [name, *(_cell(rung, name) for rung in ladder.rungs), str(step.first)]
        for name, step in first.voices.items()
    ]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        ("  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True))).rstrip()
        for row in rows
    )


def _cell(rung: Rung, name: str) -> str:
    step = rung.voices[name]
    octave = {-1: " 8vb", 0: "", 1: " 8va"}[step.octaves]
    return _MARKS[step.state] + octave
