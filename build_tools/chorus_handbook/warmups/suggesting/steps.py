"""Says to which step of opening up an exercise belongs, and which of them tired voices can sing.

Source: common practice. By which goals an exercise is taken for a step is our choice.
"""

from __future__ import annotations

from chorus_handbook.warmups.suggesting.candidates import Candidate
from chorus_handbook.warmups.suggesting.demands import LIGHT_IMPACT, is_open_line, is_quiet

#: The main goals of exercises that open from a hum, and the one of exercises for vowels.
_OPENS, _VOWELS = frozenset({"resonance", "easy-onset"}), "vowels"


def step(candidate: Candidate) -> int:
    """The step of opening up the voice to which a candidate belongs: 1 for a hum that opens, 2 for
    open vowels, 3 for a swell; 0 for any other, which may come between any of them."""
    item = candidate.item
    if item.impact == 1 or item.lines > 1:
        return 0
    if candidate.swells:
        return 3
    if item.half_closed or item.impact != LIGHT_IMPACT:
        return 0
    return 1 if item.main_goal in _OPENS else 2 if item.main_goal == _VOWELS else 0


def begins(candidate: Candidate) -> bool:
    """Whether a candidate can be the first item that needs a voice: it is gentle and no swell."""
    return candidate.item.impact == 2 and not candidate.swells


def may_stand_tired(candidate: Candidate) -> bool:
    """Whether tired voices can sing a candidate before the close: it is quiet or half-closed, or a
    known hum that opens into one easy vowel, without which they would come to the music with
    closed mouths."""
    if is_quiet(candidate.item):
        return True
    return step(candidate) == 1 and candidate.outings > 0 and is_open_line(candidate.item)
