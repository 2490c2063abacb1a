"""Who can sing which key.

Every exercise that was measured gets a `Ladder`, which compares each of its keys with the range of
each voice that sings. `ladder` computes what a voice sings in a key (`Reach`), and `rule` what that
means for it. The rule uses whole numbers only, so that the browser can run it too.
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
    """The ladder of an exercise, None where it was not measured. Problems with it are reported by
    `claims.ladder`, which knows what the author allows."""
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
