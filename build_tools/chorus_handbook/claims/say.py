"""Check of the section "Say": the text that is said aloud before singing.

What it checks: that this text is short. Source: it is common practice to say little, because
singers come to sing; the limit is our choice.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.claims.subject import Subject
from chorus_handbook.problems import Problem

#: The most words under "Say". Authors are asked for two sentences, which have far fewer.
MOST_WORDS_TO_SAY = 60


def check_spoken(subject: Subject) -> Iterator[Problem]:
    """Yields a notice `say-length` when there are more than `MOST_WORDS_TO_SAY` words under
    "Say"."""
    for section in subject.entry.source.body.sections:
        if section.heading.lower() == "say" and section.words > MOST_WORDS_TO_SAY:
            yield Problem(
                section.place,
                "say-length",
                f'There are {section.words} words under "Say"; singers stop listening long before '
                "the end.",
                'Keep two short sentences under "Say", and move the rest to "How to run it".',
            )
