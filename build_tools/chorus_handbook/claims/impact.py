"""Check of the field `impact`: how much effort an exercise asks of the voice, from 1 to 5.

What it checks: that the stated impact is not lower than the least that its manner of sounding can
have (`lowest_impact` in vocabulary.yml). Source: the chorus's own vocabulary; that calling,
shouting and hard onsets are never light is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import IMPACT_WORDS
from chorus_handbook.claims.subject import Subject
from chorus_handbook.problems import Problem


def check_impact(subject: Subject) -> Iterator[Problem]:
    """Error `impact-lowest` when the impact is below the manner's lowest."""
    front, vocabulary = subject.front, subject.vocabulary
    sounding = vocabulary.soundings.get(front.sounding) if vocabulary else None
    if sounding is None or front.impact >= sounding.lowest_impact:
        return
    least = sounding.lowest_impact
    yield Problem(
        subject.place_of("impact"),
        "impact-lowest",
        f'Impact {front.impact} ({IMPACT_WORDS[front.impact]}) is too low for "{front.sounding}", '
        f"which is never below {least} ({IMPACT_WORDS[least]}).",
        f'Write "impact: {least}" or more, or another manner of sounding.',
    )
