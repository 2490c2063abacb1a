"""Warm-ups and routines, held against the exercises that they are made of.

`references` checks what their fields name, `same_room` whether two warm-ups meet.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.entries.model import Entries, Text
from chorus_handbook.problems import Problem
from chorus_handbook.records import Exercise
from chorus_handbook.warmups.references import check_references
from chorus_handbook.warmups.same_room import check_rooms
from chorus_handbook.warmups.texts import plans_in, warm_ups_in


def check_warm_ups(
    texts: Sequence[Text[Any]],
    exercises: Mapping[str, Exercise],
    entries: Entries,
    config: ChorusConfig,
) -> list[Problem]:
    """Problems of all warm-ups and routines among the `texts`. `exercises` are the valid ones by
    slug, `entries` all as they were written."""
    problems = [
        problem
        for text in plans_in(texts)
        for problem in check_references(text, exercises, entries, config)
    ]
    problems += check_rooms(warm_ups_in(texts))
    return sorted(problems)
