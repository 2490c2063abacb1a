"""Check for exercises that are too long for a practice track (an MP3 file).

What it checks: that all keys and repeats together last an hour at most. Source: our choice, because
nobody warms up for longer on one exercise, and hours of sound would fill a phone.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import counted, seconds
from chorus_handbook.problems import Problem

#: Seconds of the longest run of which practice tracks are made (`sound/tracks.py` keeps to it).
LONGEST_RUN = 3600.0


def check_run_length(subject: Subject) -> Iterator[Problem]:
    """Notice `sound-length` when a whole run is longer."""
    facts = subject.facts
    if facts is None or facts.length_seconds <= LONGEST_RUN:
        return
    keys, length = counted(len(facts.keys), "key"), seconds(facts.length_seconds)
    yield Problem(
        subject.place_of("keys"),
        "sound-length",
        f"In {keys} the exercise lasts {length}. A practice track can last "
        f"{LONGEST_RUN / 60:.0f} minutes at most, so none is made.",
        "Use fewer keys or passes, or split the exercise in two.",
    )
