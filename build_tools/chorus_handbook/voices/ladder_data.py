"""Writes the ladder of an exercise (who can sing which key) in three forms: as data for the
browser, which compares it with a singer's own range; as JSON for other programs; and as a table for
the terminal.

The browser's data are whole numbers, under the names that they have in `rule.py`, because the same
rule also runs in the browser (`browser/ladder.js`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.voices.ladder import Ladder, Rung, compass_of

#: A ladder for the browser, as `ladder_as_data` writes it.
LadderData = Mapping[str, Any]

#: The words of the table for the states of a voice.
_STATE_WORDS = {"comfortable": "easy", "edge": "edge", "out": "out"}


def ladder_as_data(ladder: Ladder | None, *, may_change_octave: bool) -> LadderData | None:
    """What the browser needs: the names and tonics (MIDI numbers) of the keys in the order of
    singing, and the reach of each voice in the first key. None for a ladder without keys."""
    if ladder is None or not ladder.rungs:
        return None
    return {
        "keys": [str(rung.tonic) for rung in ladder.rungs],
        "tonics": [rung.tonic.midi for rung in ladder.rungs],
        "may_change_octave": may_change_octave,
        "voices": {name: asdict(step.reach) for name, step in ladder.rungs[0].voices.items()},
    }


def chorus_as_data(chorus: Chorus) -> dict[str, Any]:
    """The label and the range (`Compass`, in MIDI numbers) of every voice, keyed by its name, in
    score order."""
    return {
        name: {"label": voice.label, "compass": asdict(compass_of(voice))}
        for name, voice in chorus.voices.items()
    }


def ladder_as_json(ladder: Ladder) -> list[dict[str, Any]]:
    """One object for each key, in the order of singing: its name, the MIDI number of its tonic, and
    the state of each voice ("comfortable", "edge" or "out")."""
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
    return table(rows)


def _cell(rung: Rung, name: str) -> str:
    """What the table says of a voice in a key: "easy", or "out 8vb" if it can sing an octave
    lower."""
    step = rung.voices[name]
    octave = {-1: " 8vb", 0: "", 1: " 8va"}[step.octaves]
    return _STATE_WORDS[step.state] + octave


def table(rows: Sequence[Sequence[str]]) -> str:
    """A text table of rows with the same number of cells; the columns are aligned."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        ("  " + "  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True))).rstrip()
        for row in rows
    )
