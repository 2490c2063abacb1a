"""Asks music21 whether the notes of an imported file are in major or minor.

A key signature alone leaves that open: one sharp is G major or E minor. Only `handbook import` uses
this module, and no other module imports music21. music21 runs in a process of its own, with limits
on time and memory (`worker`), because the files come from strangers.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from chorus_handbook import worker
from chorus_handbook.worker import WorkerError

#: Krumhansl's key-finding (1990) gives each key a coefficient from -1 to 1. When those of two keys
#: differ by less than this, the notes do not say clearly enough which one they are in.
_CLEAR_DIFFERENCE = 0.05


@dataclass(frozen=True, slots=True)
class HeardKey:
    """A key that the notes suggest: the name of its tonic, such as "F#", and whether it is
    minor."""

    tonic: str
    minor: bool


def heard_key(xml: str, fifths: int) -> HeardKey | None:
    """The key of the notes in the MusicXML text `xml`: of the major and the minor key with `fifths`
    sharps (negative: flats), the one that fits the notes better. None when neither clearly does, or
    music21 cannot read the file."""
    try:
        key: list[Any] | None = worker.call(
            "chorus_handbook.music.analysis:weigh_keys", [xml, fifths], needs=("music21",)
        )
    except WorkerError:
        return None
    return HeardKey(*key) if key else None


def weigh_keys(argument: list[Any]) -> list[Any] | None:
    """Do what `heard_key` asks for, in the worker's process, to which only JSON data is passed. The
    argument is the list [xml, fifths]; the result is [name of the tonic, whether it is minor], or
    None when neither key clearly fits better."""
    from music21 import converter, key  # imported late: it is slow, and only the worker needs it

    xml, fifths = argument
    score = converter.parseData(xml, format="musicxml")
    major = key.KeySignature(fifths).asKey("major")
    minor = major.relative
    best_guess = score.analyze("krumhansl")
    coefficients = {
        (guess.tonic.name, guess.mode): guess.correlationCoefficient
        for guess in (best_guess, *best_guess.alternateInterpretations)
    }
    as_major, as_minor = (coefficients.get((k.tonic.name, k.mode), -1.0) for k in (major, minor))
    if abs(as_major - as_minor) < _CLEAR_DIFFERENCE:
        return None
    better = major if as_major > as_minor else minor
    return [better.tonic.name.replace("-", "b"), better is minor]  # music21 writes flats as "-"
