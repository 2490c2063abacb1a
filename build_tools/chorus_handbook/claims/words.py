"""Check of fields whose words are defined in vocabulary.yml.

What it checks: that the words in the fields `goals`, `sounding`, `formation`, `cautions` and
`actions` of an exercise are defined there, and that no list in its fields has the same item twice.
Source: the chorus's own vocabulary.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.claims.subject import Subject
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.problems import Problem, did_you_mean, in_quotes
from chorus_handbook.source import clip


def check_words(subject: Subject) -> Iterator[Problem]:
    """Yields an error `word-unknown` for each word in the fields that vocabulary.yml should define
    and does not, and an error `field-value` for each item that a field lists twice."""
    if subject.vocabulary is not None:
        yield from _unknown(subject, subject.vocabulary)
    for field, words in subject.front:
        for index, word in enumerate(words if isinstance(words, list) else ()):
            if word in words[:index]:
                yield Problem(
                    subject.place_of(field, index),
                    "field-value",
                    f'The field "{field}" has "{clip(word)}" twice.',
                    f'Delete one "{clip(word)}".',
                )


def _unknown(subject: Subject, vocabulary: Vocabulary) -> Iterator[Problem]:
    """Report words that are not defined. Each table of the vocabulary defines the words of the
    field that has the same name, in the plural or singular: the table `goals` those of the field
    `goals`, the table `formations` those of the field `formation`."""
    for table in Vocabulary.model_fields:
        field = table if table in FrontMatter.model_fields else table.removesuffix("s")
        stated = getattr(subject.front, field, None)
        words = stated if isinstance(stated, list) else [stated] if stated else []
        known = [*getattr(vocabulary, table)]
        noun = table.removesuffix("s").replace("sounding", "manner of sounding")
        for index, word in enumerate(words):
            if word not in known:
                yield Problem(
                    subject.place_of(field, index),
                    "word-unknown",
                    f'There is no {noun} "{clip(word)}" in vocabulary.yml.'
                    f"{did_you_mean(word, [k for k in known if k not in words])}",
                    f"Write one of these: {in_quotes(known)}."
                    if known
                    else f'Add it below "{table}:" in vocabulary.yml first.',
                )
