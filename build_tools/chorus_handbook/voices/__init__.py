"""Compares the keys of an exercise with the ranges of the voices: who can sing which key.

The result is a `Ladder`, with one *rung* for each key. `ladder` computes the lowest and highest
notes of each voice in each key (its *reach*); `rule` decides whether these are comfortable, at the
edge of the voice's range, or out of it. The rule also runs in the browser (`browser/ladder.js`).
`load` computes how long each voice sings, and `fitting` finds keys for another chorus.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.voices.ladder import Ladder, Rung, compute_ladder
from chorus_handbook.voices.rule import Reach, State

if TYPE_CHECKING:
    from chorus_handbook.music import Music

__all__ = ["Ladder", "Reach", "Rung", "State", "compute_ladder", "ladder_of"]


def ladder_of(
    front: FrontMatter, music: Music, chorus: Chorus, vocabulary: Vocabulary | None
) -> Ladder | None:
    """The ladder of an exercise; None when its music could not be measured. Keys that are too high
    or too low are reported by `claims/ladder.py`."""
    if music.score is None or music.facts is None:
        return None
    manner = vocabulary.soundings.get(front.sounding) if vocabulary else None
    return compute_ladder(
        music.score,
        music.facts.keys,
        chorus,
        may_change_octave=front.step_out == "octave",
        wide=manner is not None and manner.widest,
    )
