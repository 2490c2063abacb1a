"""Computes how a warm-up, or a month of them, is spread over the voices: for how long each voice
sings, for how long of that it is near its limits, and for how long it waits while others sing.

If an item is given more time than it takes once it is known, singers use the extra time to sing it
again, so all its numbers grow in proportion, as in `planning`. In an item without notes all voices
that are there sing for half of its time; in an item of impact 1 nobody sings. A voice waits only
while it is there and others sing. Times are in half-seconds. They are for comparing voices and
plans; they do not say what is safe. The browser has the same rule (`browser/load.js`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Text
from chorus_handbook.entries.warm_up import RoutineItem, WarmUpFields, read_note
from chorus_handbook.records import Exercise
from chorus_handbook.records.planning_numbers import PlanningNumbers, planning_numbers
from chorus_handbook.warmups.planning import known_length, planned_places, running_order
from chorus_handbook.warmups.rotation import in_window, log_of
from chorus_handbook.warmups.running_order import SECOND, PlannedItem


class VoiceLoad(NamedTuple):
    """For how long a voice sings, is near its limits, and waits, in half-seconds."""

    singing: int = 0
    near: int = 0
    waiting: int = 0

    def plus(self, other: VoiceLoad) -> VoiceLoad:
        """The two loads added."""
        return VoiceLoad(*(one + more for one, more in zip(self, other, strict=True)))


#: The load of each voice, by name.
Loads = Mapping[str, VoiceLoad]


def load_of(
    item: RoutineItem, numbers: PlanningNumbers, planned: PlannedItem, top: int | None = None
) -> Loads:
    """The load of one item for each voice that is there, keyed by the name of the voice. `planned`
    is the same item in its running order. `top` is the tonic of the highest key that was reached,
    as a MIDI number; None if all planned keys were sung."""
    if planned.impact < 2:
        return dict.fromkeys(sorted(planned.there), VoiceLoad())
    if not any(planned.keys):
        return dict.fromkeys(sorted(planned.there), VoiceLoad(planned.length // 2))
    known = known_length(item, numbers)
    length = max(planned.length, known)
    keys = [
        (place, key)
        for place, key in zip(planned_places(item, numbers), planned.keys, strict=True)
        if key and (top is None or numbers.tonics[place] <= top)
    ]
    loads: dict[str, VoiceLoad] = {}
    for voice in sorted(planned.there):
        once, near = numbers.singing.get(voice, 0), numbers.near.get(voice)
        own = [place for place, key in keys if voice in key]
        singing = once * len(own)
        milliseconds_near = sum(near[place] for place in own) if near else 0
        waiting = sum(max(0, numbers.sung - once * (voice in key)) for _, key in keys)
        loads[voice] = VoiceLoad(
            singing * length // known,
            milliseconds_near * SECOND * length // (1000 * known),
            waiting * length // known,
        )
    return loads


def total_load(loads: Iterable[Loads]) -> dict[str, VoiceLoad]:
    """The loads of several items or warm-ups added up, for each voice that any of them has."""
    total: dict[str, VoiceLoad] = {}
    for one in loads:
        for voice, load in one.items():
            total[voice] = total.get(voice, VoiceLoad()).plus(load)
    return total


def plan_load(
    items: Sequence[RoutineItem],
    stock: Mapping[str, PlanningNumbers],
    planned: Sequence[PlannedItem],
    voices: Iterable[str],
) -> dict[str, VoiceLoad]:
    """The load of a whole plan for each of `voices`, in that order, without voices that are never
    there. `items` are the items as they are written, `planned` the same items in the running order;
    `stock` has what planning needs of their exercises, keyed by slug."""
    loads = total_load(
        load_of(item, stock[item.exercise], one) for item, one in zip(items, planned, strict=True)
    )
    return {voice: loads[voice] for voice in voices if voice in loads}


def month_load(
    texts: Iterable[Text[WarmUpFields]],
    exercises: Mapping[str, Exercise],
    chorus: Chorus,
    vocabulary: Vocabulary,
    end: int,
) -> dict[int, Loads]:
    """The loads of each day, by its number (`date.toordinal`), in the four weeks that end with the
    day `end`. Only items that the log calls sung count, with their keys up to the highest that was
    reached. Warm-ups with exercises that are missing or have errors are left out."""
    log = log_of(texts := [*texts])
    found: dict[int, list[Loads]] = {}
    for text in texts:
        if not in_window(text.front.day.toordinal(), end):
            continue
        order = running_order(text, exercises, chorus, vocabulary, log)
        items = zip(text.front.items, order.items if order else (), strict=False)
        loads = [
            load_of(
                item,
                planning_numbers(exercises[item.exercise], vocabulary),
                planned,
                read_note(item.top).midi if item.top else None,
            )
            for item, planned in items
            if item.sung == "yes"
        ]
        if loads:
            found.setdefault(text.front.day.toordinal(), []).extend(loads)
    return {day: total_load(loads) for day, loads in found.items()}
