"""Turns the options of `handbook suggest` into a `Request`, which says what warm-up is wanted."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from math import ceil
from typing import Any

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.commands.exercise_names import read_exercises
from chorus_handbook.commands.nearest import nearest, or_one_of
from chorus_handbook.commands.project import WrongUsageError
from chorus_handbook.commands.questions import Known
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import DAY, WarmUpFields, WarmUpItem, read_clock, read_there
from chorus_handbook.pipeline import Handbook
from chorus_handbook.problems import did_you_mean
from chorus_handbook.records.planning_numbers import planning_numbers
from chorus_handbook.warmups.clock import time_of_day
from chorus_handbook.warmups.running_order import MINUTE
from chorus_handbook.warmups.suggesting.candidates import as_text
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.texts import warm_ups_in

#: Four parts, which are for a whole adult chorus.
_FOUR = 4


def read_request(
    options: argparse.Namespace, evening: Mapping[str, Any], book: Handbook
) -> Request:
    """The request that the options make. `evening` has the answers to the questions about the
    warm-up: `date`, `starts` and `minutes`. Raises WrongUsageError for a name that the handbook
    does not have."""
    vocabulary, chorus = book.config.vocabulary, book.config.chorus
    assert vocabulary is not None and chorus is not None
    goals = {name: goal.label for name, goal in vocabulary.goals.items()}
    known = Known(vocabulary, book.entries, book.root)
    avoided = _avoided(_split("--avoid", options.avoid, "name"), known)
    voices = [*chorus.voices, *chorus.groups, "all"]
    late = _split("--there", options.there, 'voice and its hours, such as "bass from 19:40"')
    there = dict(_read_hours(one, voices) for one in late)
    request = Request(
        day=date.fromisoformat(evening["date"]),
        starts=evening["starts"],
        minutes=evening["minutes"],
        kind=options.kind or "weekly",
        goals=_names_of(
            "--lead-into", options.lead_into, lambda one: _find(one, goals), "goal", goals
        ),
        keep=tuple(
            dict.fromkeys(
                _exercise("--keep", word, known)
                for word in _split("--keep", options.keep, "exercise")
            )
        ),
        avoid=avoided["avoid"],
        avoid_goals=avoided["avoid_goals"],
        avoid_families=avoided["avoid_families"],
        avoid_soundings=avoided["avoid_soundings"],
        avoid_formations=avoided["avoid_formations"],
        left_out=() if options.present or options.kind != "children" else in_four_parts(book),
        present=_voices("--present", options.present, voices),
        few=_voices("--few", options.few, voices),
        there=there,
        tired=options.tired,
        seed=options.seed,
        again=_second_block(options, evening, warm_ups_in(book.texts)),
    )
    for voice, hours in there.items():
        _check_hours(voice, hours, request)
    return request


def in_four_parts(book: Handbook) -> tuple[str, ...]:
    """The slugs of exercises with different lines for four voices or more. Children who sing with
    an adult chorus have no basses and tenors, so unless a request says who is there, none of these
    is suggested (our choice)."""
    vocabulary = book.config.vocabulary
    assert vocabulary is not None
    return tuple(
        slug
        for slug, exercise in sorted(book.exercises.items())
        if exercise.complete and len(planning_numbers(exercise, vocabulary).parts) >= _FOUR
    )


def _avoidable(vocabulary: Vocabulary) -> dict[str, tuple[str, dict[str, str]]]:
    """What `--avoid` may name besides exercises: for each field of a request, what it is called,
    and its names with their labels."""
    families = sorted({goal.family for goal in vocabulary.goals.values() if goal.family})
    return {
        "avoid_goals": ("goals", {name: one.label for name, one in vocabulary.goals.items()}),
        "avoid_families": ("families of goals", {name: name for name in families}),
        "avoid_soundings": (
            "manners of sounding",
            {name: one.label for name, one in vocabulary.soundings.items()},
        ),
        "avoid_formations": (
            "formations",
            {name: one.label for name, one in vocabulary.formations.items()},
        ),
    }


def _avoided(words: Sequence[str], known: Known) -> Mapping[str, tuple[str, ...]]:
    """What `--avoid` names, by the field of a request. Raises WrongUsageError for a word that is
    none of it; the message says what may be avoided."""
    kinds = _avoidable(known.vocabulary)
    found: dict[str, list[str]] = {name: [] for name in ("avoid", *kinds)}
    for word in words:
        named = [(name, one) for name, (_, all_) in kinds.items() if (one := _find(word, all_))]
        try:
            name, one = named[0] if named else ("avoid", read_exercises(word, known)[0])
        except ValueError as mistake:
            raise WrongUsageError(_not_avoidable(word, known)) from mistake
        found[name].append(one)
    return {name: tuple(dict.fromkeys(words)) for name, words in found.items()}


def _not_avoidable(word: str, known: Known) -> str:
    """The message for a word after `--avoid` that names nothing."""
    kinds = _avoidable(known.vocabulary).values()
    names = {one: [label] for _, labels in kinds for one, label in labels.items()}
    for entry in known.entries.entries:
        names[entry.slug] = [entry.front.title, entry.front.plain or ""]
    lists = "; ".join(f"{noun}: {', '.join(labels)}" for noun, labels in kinds if labels)
    near = or_one_of(nearest(word, names))
    return (
        f'--avoid: there is nothing called "{word}".{near} What may be avoided: exercises, by file '
        f"or title; {lists}"
    )


def _second_block(
    options: argparse.Namespace, evening: Mapping[str, Any], warm_ups: Sequence[Text[WarmUpFields]]
) -> str:
    """When a second block begins; empty if there is none. If the options do not say, it is as long
    after the start as before the last concert. Raises WrongUsageError."""
    given = options.second_block
    if given is None:
        return _as_last_concert(evening, warm_ups) if options.kind == "concert" else ""
    if options.kind != "concert":
        raise WrongUsageError("--second-block: only a concert has one; add --kind concert")
    if given.strip() == "none":
        return ""
    try:
        wait = (read_clock(given.strip()) - read_clock(evening["starts"])) % DAY
    except ValueError as mistake:
        raise WrongUsageError(f'--second-block: {mistake}, or "none"') from mistake
    if not evening["minutes"] <= wait < DAY // 2:
        first = time_of_day(read_clock(evening["starts"]), ceil(evening["minutes"]) * MINUTE)
        raise WrongUsageError(
            f"--second-block: {given.strip()} is too early or too late; write a time from {first} "
            "on, when the first block is over"
        )
    return str(given.strip())


def _as_last_concert(evening: Mapping[str, Any], warm_ups: Sequence[Text[WarmUpFields]]) -> str:
    """When the second block begins, as before the last concert that had one; empty if none had, or
    if the first block would not be over."""
    for text in reversed(warm_ups):
        waits = [wait for one in text.front.items if (wait := text.front.minutes_until(one))]
        if text.front.kind == "concert" and text.front.date < evening["date"] and waits:
            if waits[0] < evening["minutes"]:
                return ""
            return time_of_day(read_clock(evening["starts"]), waits[0] * MINUTE)
    return ""


def _split(flag: str, given: Sequence[str] | None, noun: str) -> list[str]:
    """The values of a flag, each of which is a `noun`. The flag may be given repeatedly, and each
    time have several values with commas between. Raises WrongUsageError if it is given without any:
    the rest of a script may be wrong, and what was wished would be passed over."""
    found = []
    for text in given or ():
        words = [word.strip() for word in text.split(",") if word.strip()]
        if not words:
            raise WrongUsageError(f"{flag}: write at least one {noun}, or leave it out")
        found += words
    return found


def _find(word: str, known: Mapping[str, str]) -> str:
    """The name that a person means by `word`: a name in `known`, or one whose label is `word`.
    `known` maps names to labels. An empty string if there is no such name."""
    by_label = {label.casefold(): name for name, label in known.items()}
    return word if word in known else by_label.get(word.casefold(), "")


def _names_of(
    flag: str,
    given: Sequence[str] | None,
    find: Callable[[str], str],
    noun: str,
    known: Iterable[str],
) -> tuple[str, ...]:
    """The names that are meant by the values of a flag, each once. `find` returns the name for a
    value, or an empty string if the value is unknown. For an unknown value WrongUsageError is
    raised; its message calls the value a `noun` and lists the `known` names."""
    names = [*known]
    found = []
    for word in _split(flag, given, noun):
        name = find(word)
        if not name:
            raise WrongUsageError(
                f'{flag}: there is no {noun} "{word}".{did_you_mean(word, names)} '
                f"Write one of these: {', '.join(names)}"
            )
        found.append(name)
    return tuple(dict.fromkeys(found))


def _voices(flag: str, given: Sequence[str] | None, voices: Sequence[str]) -> tuple[str, ...]:
    """The names of voices and groups that are the values of a flag, each once. Raises
    WrongUsageError for a name that is not in `voices`."""
    return _names_of(
        flag, given, lambda one: one if one in voices else "", "voice or group", voices
    )


def _exercise(flag: str, word: str, known: Known) -> str:
    """The slug of an exercise. Raises WrongUsageError if there is none of this name."""
    try:
        return read_exercises(word, known)[0]
    except ValueError as mistake:
        raise WrongUsageError(f"{flag}: {mistake}") from mistake


def _read_hours(text: str, voices: Sequence[str]) -> tuple[str, str]:
    """Read a voice and its hours, such as "bass from 19:40"."""
    voice, _, hours = text.strip().partition(" ")
    (named,) = _voices("--there", [voice.rstrip(":")], voices) or ("",)
    try:
        read_there(hours.strip())
    except ValueError as mistake:
        raise WrongUsageError(f"--there: {mistake}") from mistake
    return named, re.sub(r"\s+", " ", hours.strip())


def _check_hours(voice: str, hours: str, request: Request) -> None:
    """Raise WrongUsageError for hours that lie outside the warm-up that is asked for."""
    text = as_text(request, [WarmUpItem(exercise="any")])
    after = text.front.minutes_after_start
    comes, leaves = read_there(hours)
    last = request.second_block() or request
    ends = after(read_clock(last.starts)) + last.minutes
    if comes is not None and after(comes) >= ends:
        raise WrongUsageError(
            f"--there: {voice} comes at {time_of_day(comes, 0)}, when the warm-up is over; it ends "
            f"at {time_of_day(read_clock(last.starts), ceil(last.minutes) * MINUTE)}. Write an "
            "earlier time, or leave the voice out with --present"
        )
    if leaves is not None and after(leaves) <= 0:
        raise WrongUsageError(
            f"--there: {voice} leaves at {time_of_day(leaves, 0)}, before the warm-up begins at "
            f"{request.starts}. Write a later time, or leave the voice out with --present"
        )
    if comes is not None and leaves is not None and after(leaves) <= after(comes):
        raise WrongUsageError(
            f'--there: "{hours}" would mean that {voice} leaves before it comes; write first when '
            'it comes, then when it leaves: "from 19:40 until 19:55"'
        )
