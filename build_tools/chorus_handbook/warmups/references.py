"""Checks that everything exists that warm-ups and routines name, and that their fields agree.

What it checks: that each exercise has a file; that planned keys, and the highest key reached, are
among the keys of the exercise; that voices, groups, goals and formations are in chorus.yml and
vocabulary.yml; that the date is the one in the file's name, by which lists are sorted; and that
later blocks, and the hours in which a voice is there, are in order. Source: our choice, because a
page can only show what exists.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.claims.duplicate_titles import comparable
from chorus_handbook.entries.model import Entries, Entry
from chorus_handbook.entries.warm_up import RoutineItem, WarmUpFields, WarmUpItem, read_there
from chorus_handbook.pitch import Pitch
from chorus_handbook.problems import Problem, did_you_mean, in_quotes
from chorus_handbook.records import Exercise
from chorus_handbook.source import clip
from chorus_handbook.warmups.texts import WrittenPlan

#: What the name of a warm-up's file begins with, such as "2026-09-03-".
_DATE_PREFIX = "YYYY-MM-DD-"


def check_references(
    text: WrittenPlan,
    exercises: Mapping[str, Exercise],
    entries: Entries,
    config: ChorusConfig,
) -> Iterator[Problem]:
    """Errors `warmup-date`, `exercise-unknown`, `warmup-keys`, `word-unknown` and `field-value`
    (for `join_in`, `at` and `there`). The arguments are those of `check_warm_ups`."""
    front = text.front
    for index, item in enumerate(front.items):
        yield from _exercise(text, entries, item.exercise, "items", index, "exercise")
        exercise = exercises.get(item.exercise)
        if item.formation and config.vocabulary:
            known = [*config.vocabulary.formations]
            yield from _word(text, "formation", item.formation, known, "items", index, "formation")
        if exercise:
            yield from _keys(text, exercise, item, index)
    if config.chorus:
        yield from _voices(text, config.chorus)
    if isinstance(front, WarmUpFields):
        yield from _date(text, front)
        if front.join_in is not None and front.join_in >= len(front.items):
            yield Problem(
                text.source.place_of("join_in"),
                "field-value",
                f"Late singers are to join in after item {front.join_in}, but no item follows it.",
                "Write the number of an earlier item, or delete the line.",
            )
        yield from _blocks(text, front)
        yield from _there(text, front)
        for index, slug in enumerate(front.at_home):
            yield from _exercise(text, entries, slug, "at_home", index)
        if front.leads_into and config.vocabulary:
            goals = [*config.vocabulary.goals]
            for index, goal in enumerate(front.leads_into.goals):
                yield from _word(text, "goal", goal, goals, "leads_into", "goals", index)


def _word(
    text: WrittenPlan, noun: str, word: str, known: list[str], *field: str | int
) -> Iterator[Problem]:
    """The error for a word that is not among the `known` ones of vocabulary.yml, at `field`."""
    if word not in known:
        yield Problem(
            text.source.place_of(*field),
            "word-unknown",
            f'There is no {noun} "{word}" in vocabulary.yml.{did_you_mean(word, known)}',
            (
                f"Write one of these: {in_quotes(known)}."
                if known
                else "Add it to vocabulary.yml, or delete the line."
            ),
        )


def _date(text: WrittenPlan, front: WarmUpFields) -> Iterator[Problem]:
    """The error for a file whose name does not begin with the date of its warm-up."""
    if not text.source.slug.startswith(f"{front.date}-"):
        rest = text.source.slug[len(_DATE_PREFIX) :]
        yield Problem(
            text.source.place_of("date"),
            "warmup-date",
            f"The date is {front.date}, but the file is named {text.source.slug}.md.",
            f"Correct the date, or rename the file to {front.date}-{rest}.md.",
        )


def _blocks(text: WrittenPlan, front: WarmUpFields) -> Iterator[Problem]:
    """The error for a later block that begins before the block before it, or 12 hours or more
    after the start of the warm-up."""
    last = 0
    for index, item in enumerate(front.items):
        wait = front.minutes_until(item)
        if wait is None:
            continue
        if wait <= last:
            yield Problem(
                text.source.place_of("items", index, "at"),
                "field-value",
                f'The later block at "{item.at}" must begin after the block before it, and less '
                f'than 12 hours after the warm-up, which starts at "{front.starts}".',
                "Correct the time, or delete the line.",
            )
        last = max(last, wait)


def _there(text: WrittenPlan, front: WarmUpFields) -> Iterator[Problem]:
    """The error for a voice that would leave before it comes."""
    for name, hours in front.there.items():
        first, last = read_there(hours)
        if first is None or last is None:
            continue
        if front.minutes_after_start(last) <= front.minutes_after_start(first):
            yield Problem(
                text.source.place_of("there", name),
                "field-value",
                f'"{hours}" would mean that {clip(name)} leaves before it comes.',
                'Write first when the voice comes, then when it leaves: "from 19:40 until 19:55".',
            )


def _exercise(
    text: WrittenPlan, entries: Entries, slug: str, *field: str | int
) -> Iterator[Problem]:
    """The error for an exercise, named at `field`, that has no file."""
    if slug in entries.slugs:
        return
    named = _slug_by_title(slug, entries.entries)
    guess = f' Did you mean "{named}"?' if named else did_you_mean(slug, sorted(entries.slugs))
    yield Problem(
        text.source.place_of(*field),
        "exercise-unknown",
        f'There is no exercise "{slug}".{guess}',
        'Write the name of a file in the folder exercises/, without ".md".',
    )


def _slug_by_title(name: str, entries: Iterable[Entry]) -> str:
    """The slug of the exercise that has this name as one of its titles; empty if there is none."""
    wanted = comparable(name.replace("-", " "))
    for entry in entries:
        front = entry.front
        names = [front.title, front.plain or "", front.cue or "", *front.also_called]
        if wanted in map(comparable, names):
            return entry.slug
    return ""


def _keys(
    text: WrittenPlan, exercise: Exercise, item: RoutineItem, index: int
) -> Iterator[Problem]:
    """The errors for planned keys and a highest key that the exercise does not have."""
    stated: dict[str, list[Pitch]] = {}
    if item.key_path:
        stated["keys"] = [item.key_path.start, item.key_path.turn]
    if isinstance(item, WarmUpItem) and item.top:
        stated["top"] = [Pitch.parse(item.top)]
    for field, notes in stated.items():
        place = text.source.place_of("items", index, field)
        if exercise.entry.source.notation is None:
            yield Problem(
                place,
                "warmup-keys",
                f'"{exercise.front.title}" has no notes, and therefore no keys.',
                "Delete this line.",
            )
        elif exercise.facts:
            keys = exercise.facts.keys
            sung = {key.midi for key in keys}
            missing = [note for note in notes if note.midi not in sung]
            if missing:
                low, high = (pick(keys, key=lambda key: key.midi) for pick in (min, max))
                yield Problem(
                    place,
                    "warmup-keys",
                    f'"{exercise.front.title}" is not sung in {missing[0]}: its keys are '
                    f"between {low} and {high}.",
                    'Write keys that the exercise has, or change "keys" in the file of the '
                    "exercise.",
                )


def _voices(text: WrittenPlan, chorus: Chorus) -> Iterator[Problem]:
    """The errors for voices and groups that chorus.yml does not have, in any field of the plan."""
    front = text.front
    is_list = isinstance(front.present, list)
    fields: list[tuple[str, tuple[str | int, ...]]] = [
        (name, ("present", index) if is_list else ("present",))
        for index, name in enumerate(front.voices_present)
    ]
    if isinstance(front, WarmUpFields):
        fields += [(name, ("few", index)) for index, name in enumerate(front.few)]
        fields += [(name, ("there", name)) for name in front.there]
        chord = front.leads_into.first_chord if front.leads_into else {}
        fields += [(name, ("leads_into", "first_chord", name)) for name in chord]
    known = [*chorus.voices, *chorus.groups]
    for name, field in fields:
        if chorus.named(name) is None:
            yield Problem(
                text.source.place_of(*field),
                "word-unknown",
                f'There is no voice or group "{clip(name)}" in chorus.yml.'
                f"{did_you_mean(clip(name), known)}",
                f"Write one of these: {in_quotes(known)}.",
            )
