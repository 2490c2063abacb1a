"""Check of the field `answers`, in which an author silences a notice by giving a reason.

What it checks: that each answer belongs to a notice that was found. An answer that is no longer
needed would hide the next notice with its code. Source: our choice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from chorus_handbook.entries.model import Entry, Text
from chorus_handbook.problems import CODES, Problem

#: The codes of notices that a later stage of the build may find, so it is not known yet whether
#: there are any.
_FOUND_LATER = frozenset({"track-missing"})


def answered(entry: Entry | Text[Any], found: Sequence[Problem]) -> tuple[Problem, ...]:
    """The notices among the problems `found` that the author has answered in the field `answers`.
    They are not reported."""
    answers = entry.front.answers
    return tuple(p for p in found if p.severity == "notice" and p.code in answers)


def check_answers(entry: Entry | Text[Any], found: Sequence[Problem]) -> Iterator[Problem]:
    """Yields a notice `answer-idle` for each answer to a notice that is not among the problems
    `found` in its file."""
    codes = {problem.code for problem in found}
    for code in entry.front.answers:
        if code not in codes and CODES.get(code) == "notice" and code not in _FOUND_LATER:
            yield Problem(
                entry.source.place_of("answers", code),
                "answer-idle",
                f'The field "answers" gives a reason for the notice "{code}", but this file has no '
                "such notice.",
                "Delete that line. Left there, it would hide such a notice if one appears later.",
            )
