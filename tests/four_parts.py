"""The chorus that sings in most tests: four parts, in two groups, with the ranges of the demo."""

from __future__ import annotations

from typing import Any

#: chorus.yml as data.
CHORUS: dict[str, Any] = {
    "name": "Tidewater Chorus",
    "voices": {
        "soprano": {
            "label": "Soprano",
            "clef": "treble",
            "comfortable": "C4 to F5",
            "limits": "A3 to A5",
        },
        "alto": {
            "label": "Alto",
            "clef": "treble",
            "comfortable": "G3 to C5",
            "limits": "E3 to E5",
        },
        "tenor": {
            "label": "Tenor",
            "clef": "treble-8",
            "octave": -1,
            "comfortable": "C3 to F4",
            "limits": "A2 to A4",
        },
        "bass": {
            "label": "Bass",
            "clef": "bass",
            "octave": -1,
            "comfortable": "F2 to C4",
            "limits": "D2 to E4",
        },
    },
    "groups": {"upper": ["soprano", "alto"], "lower": ["tenor", "bass"]},
}
