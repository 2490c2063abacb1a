"""Plans how a routine plays by itself from beginning to end: on its page, and as one MP3 file.

Each exercise begins with a pause in which its instruction is said. Then its keys are played; or, if
it has no notes, its steps are shown, each for the time that it states.

The length of the pause depends on the number of words in the section "Say", in what the routine
adds to it, and in the steps if they state no times. Our choice: two words a second, because one
speaks to a group more slowly than to a friend, but at least the time to breathe and turn to the
next exercise, or to walk if the formation changes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from math import ceil
from typing import Any

from chorus_handbook.chorus import ChorusConfig
from chorus_handbook.chorus.model import Chorus
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.steps import RUN, is_heading, read_steps
from chorus_handbook.entries.warm_up import ROUTINE, RoutineItem
from chorus_handbook.problems import Problem
from chorus_handbook.records import Exercise
from chorus_handbook.sound.routine_track import Chapter, RoutineTrack
from chorus_handbook.sound.schedule import PlaybackOptions
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.planning import planned_rungs, running_order, voices_there
from chorus_handbook.warmups.rotation import Log
from chorus_handbook.warmups.running_order import SECOND, RunningOrder
from chorus_handbook.warmups.texts import WrittenPlan

_WORDS_A_SECOND = 2
#: The shortest pause before an exercise, and before one for which the singers walk into another
#: formation, in seconds.
_SHORTEST_PAUSE, _SHORTEST_MOVING_PAUSE = 5, clock.BETWEEN // SECOND


@dataclass(frozen=True, slots=True)
class Passage:
    """What happens during one exercise of a routine that plays by itself.

    timed: the silent part at the beginning: the pause and, for an exercise without notes, its
        steps. Each is a pair of the step to mark (its place from 0, or None) and whole seconds.
    keys: the tonics of the keys that are played after that, in order; empty for an exercise without
        notes.
    step: the place of the step to mark while the keys are played: the longest. None if no step
        states a time.
    absent: the voices that are not played, because their singers are not present.
    """

    timed: tuple[tuple[int | None, int], ...]
    keys: tuple[str, ...] = ()
    step: int | None = None
    absent: tuple[str, ...] = ()

    @property
    def silence(self) -> int:
        """The seconds without sound."""
        return sum(seconds for _, seconds in self.timed)


def passages(
    text: WrittenPlan, order: RunningOrder, exercises: Mapping[str, Exercise], chorus: Chorus
) -> list[Passage]:
    """One passage for each item of `order`, the running order of `text`."""
    there = voices_there(text, chorus, 0)
    absent = tuple(name for name in chorus.voices if name not in there)
    slots = clock.timetable(order.items)
    return [
        _passage(item, exercises[item.exercise], planned.length // SECOND, slot.moves, absent)
        for item, planned, slot in zip(text.front.items, order.items, slots, strict=True)
    ]


def routine_track(
    text: WrittenPlan,
    exercises: Mapping[str, Exercise],
    config: ChorusConfig,
    notes_of: Callable[[Exercise], bytes],
    options: PlaybackOptions,
    index: bytes,
    voice: str = "",
) -> RoutineTrack | None:
    """The track of a routine; None if one of its exercises is missing or has errors. `notes_of`
    returns the notes.json of an exercise that has sound; for the rest see `RoutineTrack`. The
    chorus and the vocabulary in `config` must not be None."""
    chorus, vocabulary = config.chorus, config.vocabulary
    assert chorus and vocabulary
    order = running_order(text, exercises, chorus, vocabulary, Log())
    if order is None:
        return None
    chapters = tuple(
        Chapter(
            planned.title,
            passage.silence,
            notes_of(exercises[planned.slug]) if passage.keys else None,
            passage.keys,
            frozenset(passage.absent),
        )
        for planned, passage in zip(
            order.items, passages(text, order, exercises, chorus), strict=True
        )
    )
    label = chorus.voices[voice].label if voice else ""
    slug, name = text.source.slug, chorus.name
    return RoutineTrack(slug, text.title, chapters, options, name, index, voice, label)


def routine_tracks(
    texts: Iterable[Text[Any]],
    exercises: Mapping[str, Exercise],
    config: ChorusConfig,
    notes_of: Callable[[Exercise], bytes],
    index: bytes,
) -> tuple[dict[str, RoutineTrack], list[Problem]]:
    """The tracks of the routines among `texts`, keyed by slug, and a notice `track-missing` for
    each that is too long for one. A routine without any notes needs none."""
    found: dict[str, RoutineTrack] = {}
    problems: list[Problem] = []
    for text in texts:
        if text.kind != ROUTINE.name:
            continue
        track = routine_track(text, exercises, config, notes_of, PlaybackOptions(), index)
        if track is None or not track.sounds:
            continue
        if not track.why_not:
            found[text.source.slug] = track
            continue
        message = f"The site has no track for this routine: {track.why_not}."
        hint = "Choose fewer keys or exercises, or split the routine into two."
        problems.append(Problem(text.source.place_of("items"), "track-missing", message, hint))
    return found, problems


def _passage(
    item: RoutineItem, exercise: Exercise, length: int, moves: bool, absent: tuple[str, ...]
) -> Passage:
    """The passage of an item. `length` is how long `clock` plans for it, in seconds; `moves` says
    whether the formation changes before it."""
    seconds = [step.seconds for step in read_steps(exercise.entry.source)]
    timed = any(seconds)
    pause = max(
        ceil(_words(item, exercise, steps_too=not timed) / _WORDS_A_SECOND), _SHORTEST_PAUSE
    )
    if moves:
        pause = max(pause, _SHORTEST_MOVING_PAUSE)
    if exercise.sound:
        step = max(range(len(seconds)), key=lambda n: seconds[n] or 0) if timed else None
        return Passage(((None, pause),), _keys(item, exercise), step, absent)
    if timed:
        steps = ((place, ceil(time or _SHORTEST_PAUSE)) for place, time in enumerate(seconds))
        return Passage(((None, pause), *steps), absent=absent)
    return Passage(((None, pause), (None, max(length - pause, _SHORTEST_PAUSE))), absent=absent)


def _keys(item: RoutineItem, exercise: Exercise) -> tuple[str, ...]:
    """The tonics of an item's keys; all of them for an exercise that is only spoken."""
    rungs = planned_rungs(item, exercise)
    if rungs:
        return tuple(str(rung.tonic) for rung in rungs)
    return tuple(map(str, exercise.facts.keys)) if exercise.facts else ()


def _words(item: RoutineItem, exercise: Exercise, *, steps_too: bool) -> int:
    """The number of words of an item's instruction."""
    headings = ("Say", RUN) if steps_too else ("Say",)
    in_sections = sum(
        section.words
        for section in exercise.entry.source.body.sections
        if any(is_heading(section.heading, known) for known in headings)
    )
    return in_sections + sum(len(text.split()) for text in (item.variation, item.note) if text)
