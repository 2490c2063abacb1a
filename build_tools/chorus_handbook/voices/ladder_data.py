"""The ladder as data for the browser, which holds it against ranges of a singer's own.

Whole numbers under the names that `rule.py` gives them, so that the same rule can run on either
side (`browser/ladder.js`).
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from chorus_handbook.chorus.model import Chorus
from chorus_handbook.voices.ladder import Ladder, compass_of


def ladder_as_data(ladder: Ladder | None, *, may_change_octave: bool) -> dict[str, Any] | None:
    """The keys' names and tonics (MIDI numbers) in singing order, and the reach of each voice in
    the first of them; None without rungs."""
    if ladder is None or not ladder.rungs:
        return None
    return {
        "keys": [str(rung.tonic) for rung in ladder.rungs],
        "tonics": [rung.tonic.midi for rung in ladder.rungs],
        "may_change_octave": may_change_octave,
        "voices": {name: asdict(step.reach) for name, step in ladder.rungs[0].voices.items()},
    }


def chorus_as_data(chorus: Chorus) -> dict[str, Any]:
    """Every voice by name, in score order: its label and its compass (MIDI numbers)."""
    return {
        name: {"label": voice.label, "compass": asdict(compass_of(voice))}
        for name, voice in chorus.voices.items()
    }
