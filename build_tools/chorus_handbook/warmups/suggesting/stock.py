"""Gathers what a suggestion is made from: the exercises of a handbook, and its log of what was
sung."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import WarmUpFields
from chorus_handbook.records import Exercise
from chorus_handbook.records.planning_numbers import planning_numbers
from chorus_handbook.warmups.rotation import RESTING, log_as_planned, to_come
from chorus_handbook.warmups.suggesting.candidates import Stock


def stock_before(
    day: date,
    exercises: Mapping[str, Exercise],
    chorus: Chorus,
    vocabulary: Vocabulary,
    warm_ups: Sequence[Text[WarmUpFields]],
) -> Stock:
    """The exercises and the log as they are before `day`, for which a warm-up is to be suggested.
    `warm_ups` holds all warm-ups of the handbook, sorted by date. An opener and a closer stay for a
    season; after eight weeks without a weekly warm-up another one begins (our choice)."""
    before = [text for text in warm_ups if text.front.day < day]
    weekly = [text for text in before if text.front.kind == "weekly"]
    this_season = weekly and (day - weekly[-1].front.day).days < RESTING
    kept = weekly[-1].front.items if this_season else []
    complete = {slug: exercise for slug, exercise in exercises.items() if exercise.complete}
    return Stock(
        complete,
        {slug: planning_numbers(exercise, vocabulary) for slug, exercise in complete.items()},
        chorus,
        vocabulary,
        log_as_planned(warm_ups),
        {item.exercise: item.keep for item in kept if item.keep},
        frozenset(text.front.day.toordinal() for text in to_come(before)),
        before[-1].front.day.toordinal() if before else None,
    )


def contradictions(warm_ups: Sequence[Text[WarmUpFields]], today: date) -> list[str]:
    """A sentence for each log that cannot be true: of a day that has not come, or with the key that
    an item reached although it was left out."""
    found = []
    for text in warm_ups:
        front, path = text.front, text.source.path
        if front.day > today and any(item.sung for item in front.items):
            found.append(f"{path} says what was sung, although its day has not come yet.")
        for item in front.items:
            if item.sung in ("cut", "skipped") and item.top:
                found.append(
                    f"{path} says that {item.exercise} was left out, and that it reached "
                    f"{item.top}; it counts as left out."
                )
    return found
