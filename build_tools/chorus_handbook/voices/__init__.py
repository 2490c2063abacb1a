"""Who can sing which key.

For every exercise that was measured, a `Ladder`: each of its keys against the range of each voice
that sings. `reach` says what a voice touches and holds, `rule` what that means for it in one key;
both know whole numbers only, so that the same rule can be written in another language and held
against the same cases.
"""

from __future__ import annotations

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.music import Music
from chorus_handbook.voices.ladder import Ladder, Rung, compute_ladder
from chorus_handbook.voices.rule import Reach, State

__all__ = ["Ladder", "Reach", "Rung", "State", "compute_ladder", "ladder_of"]


def ladder_of(
    front: FrontMatter, music: Music, chorus: Chorus, vocabulary: Vocabulary | None
) -> Ladder | None:
    """The ladder of an exercise, None where it was not measured. What is wrong with it is said by
    the claims, which know what the author allows."""
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
