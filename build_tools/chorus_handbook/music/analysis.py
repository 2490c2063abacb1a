"""Asks music21 whether the notes of an imported file are in major or minor.

Only `handbook import` uses this, and no other module imports music21. It runs in the process of
`worker`, which has limits, because the files come from strangers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from chorus_handbook import worker
from chorus_handbook.worker import WorkerError

#: Below this the notes do not say clearly enough which of two keys they are in. The coefficient of
#: Krumhansl's key-finding (1990) runs from -1 to 1.
_CLEAR = 0.05


@dataclass(frozen=True, slots=True)
class HeardKey:
    """A key that the notes suggest: the name of its tonic, such as "F#", and whether it is
    minor."""

    tonic: str
    minor: bool


def heard_key(xml: str, fifths: int) -> HeardKey | None:
    """The key of the notes in a MusicXML score: the major or the minor key with `fifths` sharps
    (negative: flats). None when it is not clear, or music21 cannot read the file."""
    try:
        found: list[Any] | None = worker.call(
            "chorus_handbook.music.analysis:weigh_keys", [xml, fifths], needs=("music21",)
        )
    except WorkerError:
        return None
    return HeardKey(found[0], found[1]) if found else None


def weigh_keys(argument: list[Any]) -> list[Any] | None:
    """The part of `heard_key` that runs in the worker: returns the tonic and whether it is
    minor."""
    from music21 import converter, key  # late, and in another process only

    xml, fifths = argument
    score = converter.parseData(xml, format="musicxml")
    major = key.KeySignature(fifths).asKey("major")
    minor = major.relative
    first = score.analyze("krumhansl")
    fits = {
        (heard.tonic.name, heard.mode): heard.correlationCoefficient
        for heard in (first, *first.alternateInterpretations)
    }
    as_major, as_minor = (fits.get((k.tonic.name, k.mode), -1.0) for k in (major, minor))
    if abs(as_major - as_minor) < _CLEAR:
        return None
    best = major if as_major > as_minor else minor
    return [best.tonic.name.replace("-", "b"), best is minor]
