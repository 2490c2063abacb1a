"""Check of the fields `minutes` and `known`: how many minutes an exercise takes when it is new, and
once it is known.

What it checks: that the music in all keys, with repeats and the beats between keys, fits into both
times, and that the exercise does not take longer once it is known. A time that is much longer than
the music is fine, because it includes talking. Source: our choice, because warm-ups are planned by
these times.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import counted, seconds
from chorus_handbook.problems import Problem

#: The possible rounding error of sums of lengths, in seconds.
PRECISION = 1e-6


def check_minutes(subject: Subject) -> Iterator[Problem]:
    """Yields at most one notice `minutes-claim`: for the first of the fields `minutes` and `known`
    that cannot be true."""
    facts, front = subject.facts, subject.front
    length = facts.length_seconds if facts else 0.0
    for field, stated in (("minutes", front.minutes), ("known", front.known)):
        if facts and stated is not None and length > 60 * stated + PRECISION:
            yield Problem(
                subject.place_of(field),
                "minutes-claim",
                f'"{field}: {stated:g}" is less than the singing alone takes: {seconds(length)} '
                f"({counted(len(facts.keys), 'key')}, {seconds(facts.seconds_per_pass)} each time "
                "through).",
                f'Write a larger number after "{field}:" (it includes the time to talk). Or write '
                'fewer keys after "keys:", or a smaller number after "passes:".',
            )
            return
    if front.known is not None and front.known > front.minutes:
        yield Problem(
            subject.place_of("known"),
            "minutes-claim",
            f"The exercise takes {front.known:g} min once it is known, which is longer than the "
            f"{front.minutes:g} min of the first time.",
            'Write fewer minutes after "known:", or delete the line. Then the time is computed.',
        )
