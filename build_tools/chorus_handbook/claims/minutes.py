"""`minutes` and `known` against the length of the sound, and against each other.

What it checks: that all keys, passes and lead-ins fit into the minutes stated for the first time
and for later ones, and that what is known takes no longer than what is new. The other way round
says nothing, because the minutes hold the talk as well. Source: our choice, because a plan is made
from the stated minutes.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import counted, seconds
from chorus_handbook.problems import Problem

#: Seconds by which sums of measured lengths may err.
PRECISION = 1e-6


def check_minutes(subject: Subject) -> Iterator[Problem]:
    """Notice `minutes-claim` for the first of the two times that cannot be true."""
    facts, front = subject.facts, subject.front
    length = facts.length_seconds if facts else 0.0
    for field, stated in (("minutes", front.minutes), ("known", front.known)):
        if facts and stated is not None and length > 60 * stated + PRECISION:
            yield Problem(
                subject.place_of(field),
                "minutes-claim",
                f"The sound alone takes {seconds(length)} "
                f"({seconds(facts.seconds_per_pass)} a pass, {counted(len(facts.keys), 'key')}), "
                f"longer than the {stated:g} min stated.",
                "Write more minutes, with room for talk, or sing fewer keys or passes.",
            )
            return
    if front.known is not None and front.known > front.minutes:
        yield Problem(
            subject.place_of("known"),
            "minutes-claim",
            f"Once it is known it takes {front.known:g} min, longer than the {front.minutes:g} min "
            "of the first time.",
            "Write fewer minutes after known:, or delete the line; it is measured then.",
        )
