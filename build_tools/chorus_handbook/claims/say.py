"""What is said aloud, and how long it is.

What it checks: that the text under "Say" is short, as `entries.body` counts it; asked here, where
a notice can be answered. Source: common practice, singers came to sing.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.body import check_say
from chorus_handbook.problems import Problem


def check_spoken(subject: Subject) -> Iterator[Problem]:
    """Notice `say-length` when there is more to say than singers hear."""
    yield from check_say(subject.entry.source.sections)
