"""Who can sing which key.

For every exercise that was measured, a `Ladder`: each of its keys against the range of each voice
that sings. `reach` says what a voice touches and holds, `rule` what that means for it in one key;
both know whole numbers only, so that the same rule can be written in another language and held
against the same cases.
"""

from __future__ import annotations

from collections.abc import Mapping

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Entries
from chorus_handbook.music import Music
from chorus_handbook.problems import Problem
from chorus_handbook.voices.ladder import Ladder, Rung, climb
from chorus_handbook.voices.rule import Reach, State

__all__ = ["Ladder", "Reach", "Rung", "State", "climb", "climb_all"]


def climb_all(
    entries: Entries, music: Music, chorus: Chorus, vocabulary: Vocabulary | None
) -> tuple[Mapping[str, Ladder], list[Problem]]:
    """The ladders of all exercises that were measured, by slug. What is wrong with one is said by
    the claims, which know what the author allows."""
    ladders = {}
    for entry in entries.entries:
        score, facts = music.scores.get(entry.slug), music.facts.get(entry.slug)
        if score and facts:
            octave = entry.front.step_out == "octave"
            manner = vocabulary.soundings.get(entry.front.sounding) if vocabulary else None
            ladders[entry.slug] = climb(
                score,
                facts.keys,
                chorus,
                may_change_octave=octave,
                wide=manner is not None and manner.widest,
            )
    return ladders, []
