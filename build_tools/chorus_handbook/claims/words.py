"""The words of the vocabulary, each known and none twice.

What it checks: that goals, sounding, formation, cautions and actions stand in vocabulary.yml, and
that no list of the front matter names one thing twice. Source: the chorus's own vocabulary.
"""

from __future__ import annotations

from collections.abc import Iterator

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.claims.subject import Subject
from chorus_handbook.claims.wording import listed
from chorus_handbook.problems import Problem, did_you_mean
from chorus_handbook.source import clip

_LISTS = ("goals", "voices", "also_called", "cautions", "actions", "related", "leads_to")


def check_words(subject: Subject) -> Iterator[Problem]:
    """Errors `word-unknown` for a word nobody defined, `field-value` for one named twice."""
    if subject.vocabulary is not None:
        yield from _unknown(subject, subject.vocabulary)
    for field in _LISTS:
        words = getattr(subject.front, field)
        if not isinstance(words, list):
            continue
        for index, word in enumerate(words):
            if word in words[:index]:
                yield Problem(
                    subject.place_of(field, index),
                    "field-value",
                    f'{field} names "{clip(word)}" twice.',
                    "Delete the second.",
                )


def _unknown(subject: Subject, vocabulary: Vocabulary) -> Iterator[Problem]:
    front = subject.front
    fields: tuple[tuple[str, list[str], str, list[str]], ...] = (
        ("goals", front.goals, "goal", [*vocabulary.goals]),
        ("sounding", [front.sounding], "manner of sounding", [*vocabulary.soundings]),
        ("formation", [front.formation or ""], "formation", [*vocabulary.formations]),
        ("cautions", front.cautions, "caution", [*vocabulary.cautions]),
        ("actions", front.actions, "action", [*vocabulary.actions]),
    )
    for field, words, noun, known in fields:
        for index, word in enumerate(words):
            if word and word not in known:
                yield Problem(
                    subject.place_of(field, index),
                    "word-unknown",
                    f'There is no {noun} "{clip(word)}" in vocabulary.yml.'
                    f"{did_you_mean(word, [k for k in known if k not in words])}",
                    f"There is {listed(known)}." if known else "Add it there first.",
                )
