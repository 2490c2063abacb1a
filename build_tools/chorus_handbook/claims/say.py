"""The length of what is said aloud.

What it checks: that the text under "Say" is short. `entries.body` counts it; the notice is made
here, where it can be answered. Source: common practice, since singers come to sing.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.body import check_say
from chorus_handbook.problems import Problem


def check_spoken(subject: Subject) -> Iterator[Problem]:
    """Notice `say-length` when the text is too long to be said."""
    yield from check_say(subject.entry.source.sections)
