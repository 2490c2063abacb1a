"""Everything about warm-ups and routines; this module checks them.

A *warm-up* is planned for a date; a *routine* is a fixed list of exercises for any day; a *plan* is
either. `references` checks that everything a plan names exists, and `same_room` that no two
warm-ups overlap in one room. `planning` turns a plan into a `RunningOrder`: its items in order,
with the times and notes that matter. `clock` computes the timetable of a running order, and each
module in `checks` looks for one kind of problem in it. `rotation` is the log: on which days each
exercise was sung. Nothing here depends on today's date: a warm-up is checked as of its own date.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.claims.answers import answered, check_answers
from chorus_handbook.entries.model import Entries, Text
from chorus_handbook.problems import Problem
from chorus_handbook.records import Exercise
from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.hours import check_hours
from chorus_handbook.warmups.planning import running_order
from chorus_handbook.warmups.references import check_references
from chorus_handbook.warmups.rotation import Log, expected_log
from chorus_handbook.warmups.same_room import check_rooms
from chorus_handbook.warmups.texts import WrittenPlan, plans_in, warm_ups_in


def check_warm_ups(
    texts: Sequence[Text[Any]],
    exercises: Mapping[str, Exercise],
    entries: Entries,
    config: ChorusConfig,
) -> list[Problem]:
    """All problems of the warm-ups and routines among `texts`, sorted by place.

    `exercises` holds the valid exercises, keyed by slug; `entries` holds all exercises as their
    authors wrote them, those with errors included.
    """
    warm_ups = warm_ups_in(texts)
    log = expected_log(warm_ups)
    rooms = [*check_rooms(warm_ups)]
    problems = [one for one in rooms if one.severity == "error"]
    for text in plans_in(texts):
        asked = [p for p in rooms if p not in problems and p.place.path == text.source.path]
        problems += check_references(text, exercises, entries, config)
        problems += _advice(text, asked, exercises, config, log)
    return sorted(problems)


def _advice(
    text: WrittenPlan,
    asked: Sequence[Problem],
    exercises: Mapping[str, Exercise],
    config: ChorusConfig,
    log: Log,
) -> Iterator[Problem]:
    """The notices `asked` and the problems that `checks` finds in a plan, without the notices that
    its author has answered in the field `answers`. Yields nothing while an exercise of the plan,
    the chorus or the vocabulary has errors."""
    if config.chorus is None or config.vocabulary is None:
        return
    order = running_order(text, exercises, config.chorus, config.vocabulary, log)
    if order is None:
        return
    found = [*asked]
    found += [
        Problem(text.source.place_of(*one.place_in()), one.code, one.message, one.hint)
        for one in findings(order)
    ]
    found += check_hours(text)
    settled = answered(text, found)
    yield from (problem for problem in found if problem not in settled)
    yield from check_answers(text, found)
