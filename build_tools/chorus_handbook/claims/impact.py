"""Check of the field `impact`: how much effort an exercise asks of the voice, from 1 to 5.

What it checks: that the stated impact is not below the lowest that the exercise's manner of
sounding, such as humming or calling, can have (`lowest_impact` in vocabulary.yml). Source: the
chorus's own vocabulary; that calling, shouting and hard onsets are never light is common practice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import IMPACT_WORDS
from chorus_handbook.claims.subject import Subject
from chorus_handbook.problems import Problem


def check_impact(subject: Subject) -> Iterator[Problem]:
    """Yields an error `impact-lowest` when the stated impact is below the lowest that its manner of
    sounding can have."""
    front, vocabulary = subject.front, subject.vocabulary
    sounding = vocabulary.soundings.get(front.sounding) if vocabulary else None
    if sounding is None or front.impact >= sounding.lowest_impact:
        return
    lowest = sounding.lowest_impact
    yield Problem(
        subject.place_of("impact"),
        "impact-lowest",
        f'"impact: {front.impact}" ({IMPACT_WORDS[front.impact]}) is too low for an exercise with '
        f'"sounding: {front.sounding}", which has at least {lowest} ({IMPACT_WORDS[lowest]}).',
        f'Write "impact: {lowest}" or more, or another manner of sounding after "sounding:".',
    )
