"""Makes the running order of a warm-up or a routine from what its author wrote: for each item, how
long it takes, in which keys it is sung, and by which voices (`running_order`).

The checks need to know how much has been sung. An item's singing time is that of the voice that
sings most of it. If the item is given more time than the exercise takes once it is known, its
singing time grows in proportion, since singers use the extra time to sing it again. An exercise
without notes counts as sung for half of its time. All this is estimated, and authors stop reading
notices that are often wrong, so where two estimates are equally good, we take the one that gives
fewer notices (our choice).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.warm_up import Plan, RoutineItem, WarmUpFields, WarmUpItem, read_there
from chorus_handbook.records import Exercise
from chorus_handbook.records.planning_numbers import PlanningNumbers, planning_numbers
from chorus_handbook.records.quickness import asks_for_calm
from chorus_handbook.voices import Rung
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.rotation import Log, Status, weeks_running
from chorus_handbook.warmups.running_order import (
    MINUTE,
    KeyReach,
    PlannedItem,
    RunningOrder,
    VoiceRange,
)
from chorus_handbook.warmups.texts import WrittenPlan

#: Kinds of warm-ups in which nobody walks anywhere: only a formation that the plan itself names
#: counts.
IN_PLACE = frozenset({"seated", "online"})


def running_order(
    text: WrittenPlan,
    exercises: Mapping[str, Exercise],
    chorus: Chorus,
    vocabulary: Vocabulary,
    log: Log,
) -> RunningOrder | None:
    """The running order of a warm-up or a routine; None if one of its exercises is missing or has
    errors. `exercises` holds the valid exercises, keyed by slug, `log` the days on which each was
    sung."""
    found = [exercises.get(item.exercise) for item in text.front.items]
    valid = [exercise for exercise in found if exercise and exercise.complete]
    if len(valid) < len(text.front.items):
        return None
    numbers = {exercise.slug: planning_numbers(exercise, vocabulary) for exercise in valid}
    return order_of(text, numbers, chorus, vocabulary, log)


def order_of(
    text: WrittenPlan,
    numbers: Mapping[str, PlanningNumbers],
    chorus: Chorus,
    vocabulary: Vocabulary,
    log: Log,
) -> RunningOrder:
    """The running order of a plan. `numbers` holds at least those of its exercises, keyed by
    slug."""
    front = text.front
    planned: list[PlannedItem] = []
    for item in front.items:
        made = _on_a_day(item, numbers[item.exercise], front, log)
        begins = clock.timetable([*planned, made])[-1].begins
        voices = voices_there(text, chorus, begins)
        planned.append(_with_voices(made, item, numbers[item.exercise], voices))
    order = RunningOrder(
        planned,
        occasion=None,
        voices={
            name: VoiceRange(voice.label, voice.comfortable.low, voice.comfortable.high)
            for name, voice in chorus.voices.items()
        },
        has_families=any(goal.family for goal in vocabulary.goals.values()),
    )
    return (
        _on_its_day(order, front, chorus, vocabulary) if isinstance(front, WarmUpFields) else order
    )


def planned_item(
    item: RoutineItem,
    numbers: PlanningNumbers,
    front: WarmUpFields,
    log: Log,
    there: Iterable[str],
) -> PlannedItem:
    """An item as it would be planned in a warm-up while the voices `there` are present."""
    return _with_voices(_on_a_day(item, numbers, front, log), item, numbers, {*there})


def _on_a_day(item: RoutineItem, numbers: PlanningNumbers, front: Plan, log: Log) -> PlannedItem:
    """An item of a warm-up or a routine, without what depends on which voices are present."""
    if not isinstance(front, WarmUpFields):
        return _planned(item, numbers, "known", 0)
    day = front.day.toordinal()
    weeks = weeks_running(log.before(item.exercise, day), day)
    made = _planned(item, numbers, log.status(item.exercise, day), weeks)
    if isinstance(item, WarmUpItem):
        wait = front.minutes_until(item)
        made = replace(made, at=None if wait is None else wait * MINUTE)
        if front.kind in IN_PLACE:
            made = replace(made, formation=item.formation or "")
    return made


def _on_its_day(
    order: RunningOrder, front: WarmUpFields, chorus: Chorus, vocabulary: Vocabulary
) -> RunningOrder:
    """`order`, completed with what a warm-up has and a routine does not: its occasion, how long it
    may take, and when late voices come."""
    music = front.leads_into.goals if front.leads_into else []
    return replace(
        order,
        occasion=front.kind,
        allowed=round(front.minutes * MINUTE),
        music=frozenset(music),
        calm=asks_for_calm(music, vocabulary),
        chord_follows=bool(front.leads_into and front.leads_into.first_chord),
        few=frozenset(voice for name in front.few for voice in chorus.named(name) or ()),
        arrivals=_arrivals(front, chorus),
        join_in=front.join_in,
    )


def _arrivals(front: WarmUpFields, chorus: Chorus) -> dict[str, int]:
    """When each late voice comes, keyed by its name, in half-seconds after the start; voices that
    are there at the start are not in it. If the field `there` names a voice twice, by itself and in
    a group, the later time counts."""
    times = [
        (front.minutes_after_start(first) * MINUTE, voice)
        for name, hours in front.there.items()
        for voice in chorus.named(name) or ()
        if (first := read_there(hours)[0]) is not None
    ]
    return {voice: time for time, voice in sorted(times) if time > 0}


def planned_rungs(item: RoutineItem, exercise: Exercise) -> Sequence[Rung]:
    """The keys of an exercise in which an item is sung, in that order: those of its field `keys`,
    or all if it has none. Keys that the exercise does not have are left out."""
    rungs = exercise.ladder.rungs if exercise.ladder else ()
    path = item.key_path
    if path is None:
        return rungs
    by_tonic = {rung.tonic.midi: rung for rung in rungs}
    wanted = [path.start.midi + semitones for semitones in path.semitones()]
    return [by_tonic[midi] for midi in wanted if midi in by_tonic]


def voices_there(text: WrittenPlan, chorus: Chorus, begins: int) -> set[str]:
    """The names of the voices present `begins` half-seconds after the start."""
    front = text.front
    there = {voice for name in front.voices_present for voice in chorus.named(name) or ()}
    if isinstance(front, WarmUpFields):
        now, after = begins // MINUTE, front.minutes_after_start
        for name, hours in front.there.items():
            first, last = read_there(hours)
            late = first is not None and now < after(first)
            if late or (last is not None and now >= after(last)):
                there -= {*(chorus.named(name) or ())}
    return there


def _planned(
    item: RoutineItem, numbers: PlanningNumbers, status: Status, weeks: int
) -> PlannedItem:
    """A planned item, without the fields that depend on which voices are present (`keys`,
    `unsung_key`, `singing`, `there`)."""
    if isinstance(item, WarmUpItem):
        if_time, keep = item.if_time, item.keep
    else:
        if_time, keep = None, None
    return PlannedItem(
        slug=numbers.slug,
        title=numbers.title,
        impact=numbers.impact,
        length=_length(item, numbers, status),
        sound=_sound(item, numbers),
        level=numbers.level,
        status=status,
        lines=numbers.lines,
        unison=numbers.unison,
        leap=numbers.leap,
        span=numbers.span,
        phrase=numbers.phrase,
        half_closed=numbers.half_closed,
        is_round=numbers.is_round,
        main_goal=numbers.main_goal,
        breath_free=numbers.breath_free,
        from_above=numbers.from_above,
        active=numbers.active,
        parts=tuple(map(frozenset, numbers.parts)),
        comment=" ".join(filter(None, (item.variation, item.note))),
        families=frozenset(numbers.families),
        unites=numbers.unites,
        formation=item.formation or numbers.formation,
        as_they_stand=not item.formation and numbers.as_they_stand,
        weeks_running=weeks,
        if_time=if_time,
        keep=keep,
    )


def planned_places(item: RoutineItem, numbers: PlanningNumbers) -> list[int]:
    """The places, among the keys of an exercise, of those in which an item is sung, in the order of
    singing. Where an exercise has a key twice, the later place counts."""
    path = item.key_path
    if path is None:
        return [*range(len(numbers.tonics))]
    by_tonic = {midi: place for place, midi in enumerate(numbers.tonics)}
    wanted = [path.start.midi + semitones for semitones in path.semitones()]
    return [by_tonic[midi] for midi in wanted if midi in by_tonic]


def _sound(item: RoutineItem, numbers: PlanningNumbers) -> int:
    """For how long the planned keys sound, in half-seconds; 0 for an exercise without notes."""
    if not numbers.tonics:
        return numbers.sound
    return numbers.sound * len(planned_places(item, numbers)) // len(numbers.tonics)


def _length(item: RoutineItem, numbers: PlanningNumbers, status: Status) -> int:
    """How long an item takes, in half-seconds: its own `minutes`, or else what its exercise takes
    at this status, less the keys that are not planned."""
    if item.minutes is not None:
        return round(item.minutes * MINUTE)
    known = known_length(item, numbers)
    first = numbers.first - _length_left_out(item, numbers)
    return clock.length(max(first, known), known, status)


def known_length(item: RoutineItem, numbers: PlanningNumbers) -> int:
    """How long the planned keys take once the exercise is known, in half-seconds."""
    # no item takes less time than the pause after it
    shortest = min(numbers.known, clock.BETWEEN)
    return max(numbers.known - _length_left_out(item, numbers), shortest)


def _length_left_out(item: RoutineItem, numbers: PlanningNumbers) -> int:
    """How long the keys that are not planned would have sounded, in half-seconds."""
    return numbers.sound - _sound(item, numbers)


def _with_voices(
    made: PlannedItem, item: RoutineItem, numbers: PlanningNumbers, present: set[str]
) -> PlannedItem:
    """`made`, completed with what the voices in `present` sing in each key."""
    keys: list[Mapping[str, KeyReach]] = []
    unsung_key = ""
    for place in planned_places(item, numbers):
        singing = {
            name: reach
            for name in numbers.voices
            if name in present and (reach := _reach(numbers, name, place))
        }
        if not singing and not unsung_key:
            unsung_key = numbers.keys[place]
        keys.append(singing)
    return replace(
        made,
        keys=tuple(keys),
        unsung_key=unsung_key,
        singing=_singing(made, item, numbers, keys),
        there=frozenset(present),
    )


def _reach(numbers: PlanningNumbers, voice: str, place: int) -> KeyReach | None:
    """What a voice sings in the key at `place`; None if it steps out there."""
    octaves = numbers.octaves[voice][place] if voice in numbers.octaves else 0
    if octaves is None:
        return None
    moved = numbers.tonics[place] - numbers.tonics[0] + 12 * octaves
    lowest, highest, open_lowest, open_highest = numbers.voices[voice]
    return KeyReach(
        lowest + moved,
        highest + moved,
        None if open_lowest is None else open_lowest + moved,
        None if open_highest is None else open_highest + moved,
    )


def _singing(
    made: PlannedItem,
    item: RoutineItem,
    numbers: PlanningNumbers,
    keys: Sequence[Mapping[str, KeyReach]],
) -> int:
    """The singing time of the voice that sings most of the item, in half-seconds; 0 for impact 1,
    which needs no voice."""
    if made.impact < 2:
        return 0
    times = [time * sum(name in key for key in keys) for name, time in numbers.singing.items()]
    if not any(times):
        return made.length // 2
    known = known_length(item, numbers)
    longest = max(times)
    return longest * max(made.length, known) // known if known else longest
