"""Reads what `handbook suggest` is asked for from its command line."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from chorus_handbook.commands.exercise_names import read_exercises
from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.commands.questions import Known
from chorus_handbook.entries.warm_up import read_there
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import did_you_mean
from chorus_handbook.warmups.suggesting.request import Request


def read_request(
    options: argparse.Namespace, evening: Mapping[str, Any], book: Handbook
) -> Request:
    """The request made by the options, for an `evening` with `date`, `starts` and `minutes`. Raises
    WrongUsageError for a name that the handbook does not have."""
    vocabulary, chorus = book.config.vocabulary, book.config.chorus
    assert vocabulary is not None and chorus is not None
    goals = {name: goal.label for name, goal in vocabulary.goals.items()}
    soundings = {name: manner.label for name, manner in vocabulary.soundings.items()}
    known = Known(vocabulary, book.entries, book.root)
    avoid: dict[str, list[str]] = {"avoid": [], "avoid_goals": [], "avoid_soundings": []}
    for word in _split(options.avoid):
        if goal := _find(word, goals):
            avoid["avoid_goals"].append(goal)
        elif manner := _find(word, soundings):
            avoid["avoid_soundings"].append(manner)
        else:
            avoid["avoid"].append(_exercise("--avoid", word, known, [*goals, *soundings]))
    voices = [*chorus.voices, *chorus.groups, "all"]
    there = dict(_read_hours(one, voices) for one in options.there or ())
    return Request(
        day=date.fromisoformat(evening["date"]),
        starts=evening["starts"],
        minutes=evening["minutes"],
        kind=options.kind or "weekly",
        goals=_names_of(
            "--lead-into", options.lead_into, lambda one: _find(one, goals), "goal", goals
        ),
        keep=tuple(
            dict.fromkeys(_exercise("--keep", word, known, ()) for word in _split(options.keep))
        ),
        **{name: tuple(dict.fromkeys(words)) for name, words in avoid.items()},
        present=_voices("--present", options.present, voices),
        few=_voices("--few", options.few, voices),
        there=there,
        tired=options.tired,
        seed=options.seed,
    )


def _split(given: Sequence[str] | None) -> list[str]:
    """The values of a flag, which may be given repeatedly, each with several values with commas
    between."""
    return [word.strip() for text in given or () for word in text.split(",") if word.strip()]


def _find(word: str, known: Mapping[str, str]) -> str:
    """The name in `known` (names with their labels) that `word` is, or whose label it is; else
    empty."""
    by_label = {label.casefold(): name for name, label in known.items()}
    return word if word in known else by_label.get(word.casefold(), "")


def _names_of(
    flag: str,
    given: Sequence[str] | None,
    find: Callable[[str], str],
    noun: str,
    known: Iterable[str],
) -> tuple[str, ...]:
    """The names that `find` gives for the values of a flag, each once. Raises WrongUsageError for a
    value that is unknown; the message calls it a `noun` and lists the `known` names."""
    names = [*known]
    found = []
    for word in _split(given):
        name = find(word)
        if not name:
            raise WrongUsageError(
                f'{flag}: there is no {noun} "{word}".{did_you_mean(word, names)} '
                f"There are {', '.join(names)}"
            )
        found.append(name)
    return tuple(dict.fromkeys(found))


def _voices(flag: str, given: Sequence[str] | None, voices: Sequence[str]) -> tuple[str, ...]:
    return _names_of(
        flag, given, lambda one: one if one in voices else "", "voice or group", voices
    )


def _exercise(flag: str, word: str, known: Known, others: Sequence[str]) -> str:
    """The slug of an exercise. `others` are names of other things that might be meant."""
    try:
        return read_exercises(word, known)[0]
    except ValueError as mistake:
        guess = did_you_mean(word, others)
        raise WrongUsageError(f"{flag}: {mistake}{guess}") from mistake


def _read_hours(text: str, voices: Sequence[str]) -> tuple[str, str]:
    """Read a voice and its hours, such as "bass from 19:40"."""
    voice, _, hours = text.strip().partition(" ")
    (named,) = _voices("--there", [voice.rstrip(":")], voices) or ("",)
    try:
        read_there(hours.strip())
    except ValueError as mistake:
        raise WrongUsageError(f"--there: {mistake}") from mistake
    return named, re.sub(r"\s+", " ", hours.strip())
