"""What music21 hears in a score: the one module that knows it.

It reads files of strangers, so it runs in the limited process of `worker` alone, and never where
a page is made: reading, measuring and drawing do without it.
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
    """A key as the notes suggest it: its tonic's name, such as "F#", and whether it is minor."""

    tonic: str
    minor: bool


def heard_key(xml: str, fifths: int) -> HeardKey | None:
    """Which of the two keys with this signature the notes of a MusicXML score are in; None when
    they do not say clearly, or music21 cannot read them."""
    try:
        found: list[Any] | None = worker.call(
            "chorus_handbook.music.analysis:weigh_keys", [xml, fifths], needs=("music21",)
        )
    except WorkerError:
        return None
    return HeardKey(found[0], found[1]) if found else None


def weigh_keys(argument: list[Any]) -> list[Any] | None:
    """The worker's side of `heard_key`: tonic and whether it is minor."""
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
