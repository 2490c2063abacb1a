"""`minutes` against the length of the sound.

What it checks: that all keys, passes and lead-ins fit into the stated minutes. The other way
round says nothing, because the minutes hold the talk as well. Source: our choice,
because a plan is made from the stated minutes.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import counted, seconds
from chorus_handbook.problems import Problem

#: Seconds by which sums of measured lengths may err.
PRECISION = 1e-6


def check_minutes(subject: Subject) -> Iterator[Problem]:
    """Notice `minutes-claim` when the sound alone is longer than stated."""
    facts, front = subject.facts, subject.front
    if facts is None or facts.length_seconds <= 60 * front.minutes + PRECISION:
        return
    yield Problem(
        subject.place_of("minutes"),
        "minutes-claim",
        f"The sound alone takes {seconds(facts.length_seconds)} "
        f"({seconds(facts.seconds_per_pass)} a pass, {counted(len(facts.keys), 'key')}), "
        f"longer than the {front.minutes:g} min stated.",
        "Write more minutes, with room for talk, or sing fewer keys or passes.",
    )
