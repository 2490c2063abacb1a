"""Check of the section "Say": the text that is said aloud before singing.

What it checks: that it is short. Source: common practice, because singers come to sing.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.problems import Problem

#: Well above two sentences, which is what is asked for (our choice).
MOST_WORDS_TO_SAY = 60


def check_spoken(subject: Subject) -> Iterator[Problem]:
    """Notice `say-length` when the text is too long to be said."""
    for section in subject.entry.source.body.sections:
        if section.heading.lower() == "say" and section.words > MOST_WORDS_TO_SAY:
            yield Problem(
                section.place,
                "say-length",
                f"There are {section.words} words under Say; singers stop listening long before "
                "the end.",
                'Keep two short sentences, and move the rest to "How to run it".',
            )
