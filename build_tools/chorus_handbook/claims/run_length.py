"""Check for exercises that are too long for a practice track (an MP3 file with the whole exercise).

What it checks: that all keys and repeats together last an hour at most. Source: our choice, because
nobody sings one exercise for longer, and hours of sound would fill a phone.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import counted, seconds
from chorus_handbook.problems import Problem

#: How many seconds a practice track may last (`sound/tracks.py` makes none that are longer).
LONGEST_RUN = 3600.0


def check_run_length(subject: Subject) -> Iterator[Problem]:
    """Yields a notice `sound-length` when the exercise, in all its keys and with all repeats, lasts
    longer than `LONGEST_RUN`."""
    facts = subject.facts
    if facts is None or facts.length_seconds <= LONGEST_RUN:
        return
    keys, length = counted(len(facts.keys), "key"), seconds(facts.length_seconds)
    yield Problem(
        subject.place_of("keys"),
        "sound-length",
        f"In {keys} the exercise lasts {length}, but a practice track can last "
        f"{LONGEST_RUN / 60:.0f} min at most, so none is made.",
        'Write fewer keys after "keys:" or a smaller number after "passes:", or split the '
        "exercise in two.",
    )
