"""Notices that the author has answered.

What it checks: that each answer under `answers` answers a notice that was found; an answer that
outlived its notice would hide the next one. Source: our choice, because only
what still holds should stand in the file.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from chorus_handbook.entries.model import Entry, Text
from chorus_handbook.problems import CODES, Problem

#: Notices of later stages: whether there are any is not known yet.
_FOUND_LATER = frozenset({"track-missing"})


def answered(entry: Entry | Text[Any], found: Sequence[Problem]) -> tuple[Problem, ...]:
    """The notices among `found` to which the file has an answer."""
    answers = entry.front.answers
    return tuple(p for p in found if p.severity == "notice" and p.code in answers)


def check_answers(entry: Entry | Text[Any], found: Sequence[Problem]) -> Iterator[Problem]:
    """Notice `answer-idle` for each answer to a notice that was not found."""
    codes = {problem.code for problem in found}
    for code in entry.front.answers:
        if code not in codes and CODES.get(code) == "notice" and code not in _FOUND_LATER:
            yield Problem(
                entry.source.place_of("answers", code),
                "answer-idle",
                f'The answer to "{code}" answers nothing: this file has no such notice.',
                "Delete it, so that it cannot hide a later notice.",
            )
