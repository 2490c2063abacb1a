"""Makes the running order of a warm-up or a routine from what its author wrote.

The checks need to know how much has been sung. An item's singing time is that of
the voice that sings most of it. If the item is given more time than the exercise takes once it is
known, its singing time grows in proportion, since singers use the extra time to sing it again. An
exercise without notes counts as sung for half of its time. Where something else could be assumed as
well, we take what gives fewer notices (our choice): these are estimates, and authors stop reading
notices that are often wrong.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.warm_up import RoutineItem, WarmUpFields, WarmUpItem, read_there
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.learning import known_minutes, level_of
from chorus_handbook.music.score import LEADER
from chorus_handbook.records import Exercise
from chorus_handbook.voices import Rung
from chorus_handbook.voices.ladder import Step
from chorus_handbook.warmups import clock
from chorus_handbook.warmups.rotation import Log, Status, weeks_running
from chorus_handbook.warmups.running_order import (
    MINUTE,
    SECOND,
    KeyReach,
    PlannedItem,
    RunningOrder,
    VoiceRange,
)
from chorus_handbook.warmups.texts import WrittenPlan

#: Goals that bring a chorus together at the end of a warm-up. Goals of the family "ears" do so too,
#: and so does an exercise whose `moment` is "closing".
_UNITING = frozenset({"blend", "tuning", "harmony", "together", "expression"})
#: Kinds of warm-ups in which nobody walks anywhere: only a formation that the plan itself names
#: counts.
_IN_PLACE = frozenset({"seated", "online"})
#: Formations, by the name of their picture, for which singers must walk to another place. When an
#: exercise suggests another one, such as rows, or pairs that only turn to each other, they can stay
#: where they stand (our choice).
_NEED_WALKING = frozenset({"circle", "square"})
_BREATH_SHARING = "breath-sharing"
#: Goals and manners of sounding in which bodies move. The family "body" has more goals, but one can
#: stand tall or let go of the jaw without moving from the spot.
_ACTIVE_GOALS, _ACTIVE_SOUNDINGS = frozenset({"rhythm", "energy"}), frozenset({"body-sound"})


def running_order(
    text: WrittenPlan,
    exercises: Mapping[str, Exercise],
    chorus: Chorus,
    vocabulary: Vocabulary,
    log: Log,
) -> RunningOrder | None:
    """The running order of a warm-up or a routine; None if one of its exercises is missing or has
    errors. `exercises` holds the valid exercises by slug, `log` the days on which each was sung."""
    front = text.front
    found = [exercises.get(item.exercise) for item in front.items]
    stock = [exercise for exercise in found if exercise and exercise.complete]
    if len(stock) < len(front.items):
        return None
    day = front.day.toordinal() if isinstance(front, WarmUpFields) else None
    planned: list[PlannedItem] = []
    for item, exercise in zip(front.items, stock, strict=True):
        status: Status = "known" if day is None else log.status(item.exercise, day)
        weeks = weeks_running(log.before(item.exercise, day), day) if day else 0
        made = _planned(item, exercise, vocabulary, status, weeks)
        if isinstance(front, WarmUpFields) and isinstance(item, WarmUpItem):
            wait = front.minutes_until(item)
            made = replace(made, at=None if wait is None else wait * MINUTE)
            if front.kind in _IN_PLACE:
                made = replace(made, formation=item.formation or "")
        begins = clock.timetable([*planned, made])[-1].begins
        voices = voices_there(text, chorus, begins)
        planned.append(_with_voices(made, item, exercise, voices))
    order = RunningOrder(
        planned,
        occasion=None,
        voices={
            name: VoiceRange(voice.label, voice.comfortable.low, voice.comfortable.high)
            for name, voice in chorus.voices.items()
        },
        has_families=any(goal.family for goal in vocabulary.goals.values()),
    )
    return _on_its_day(order, front, chorus) if isinstance(front, WarmUpFields) else order


def _on_its_day(order: RunningOrder, front: WarmUpFields, chorus: Chorus) -> RunningOrder:
    """`order`, completed with what only a warm-up has: its occasion, its time, and which voices are
    present when."""
    return replace(
        order,
        occasion=front.kind,
        allowed=round(front.minutes * MINUTE),
        chord_follows=bool(front.leads_into and front.leads_into.first_chord),
        few=frozenset(voice for name in front.few for voice in chorus.named(name) or ()),
        arrivals=_arrivals(front, chorus),
        join_in=front.join_in,
    )


def _arrivals(front: WarmUpFields, chorus: Chorus) -> dict[str, int]:
    """When each voice comes that is not there at the start, in half-seconds after it. A voice that
    `there` names twice, by itself and in a group, comes at the later time."""
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
    item: RoutineItem, exercise: Exercise, vocabulary: Vocabulary, status: Status, weeks: int
) -> PlannedItem:
    """A planned item, without the fields that depend on which voices are present (`keys`,
    `unsung_key`, `singing`)."""
    front, facts = exercise.front, exercise.facts
    manner = vocabulary.soundings.get(front.sounding)
    suggested = vocabulary.formations.get(front.formation or "")
    goals = [(name, vocabulary.goals.get(name)) for name in front.goals]
    families = frozenset(goal.family for _, goal in goals if goal and goal.family)
    if isinstance(item, WarmUpItem):
        if_time, keep = item.if_time, item.keep
    else:
        if_time, keep = None, None
    return PlannedItem(
        slug=exercise.slug,
        title=front.plain or front.title,
        impact=front.impact,
        length=_length(item, exercise, status),
        sound=_sound(item, exercise),
        level=level_of(front, facts) or 1,
        status=status,
        lines=_moving_lines(facts),
        unison=bool(facts and facts.parts == 1 and exercise.ladder and exercise.ladder.rungs),
        leap=facts.largest_leap if facts else 0,
        span=facts.ambitus_semitones if facts else 0,
        phrase=round(SECOND * facts.longest_phrase_seconds) if facts else 0,
        half_closed=bool(manner and manner.widest),
        is_round=front.round is not None,
        main_goal=front.goals[0],
        # no phrase is too long when nobody need sing it in one breath: where a line stays on one
        # note, or sharing the breath is the aim, singers breathe one after another
        breath_free=_BREATH_SHARING in front.goals or not _moving_lines(facts),
        from_above=_from_above(facts),
        active=bool(_ACTIVE_GOALS & {*front.goals}) or front.sounding in _ACTIVE_SOUNDINGS,
        parts=tuple(map(frozenset, exercise.ladder.lines)) if exercise.ladder else (),
        comment=" ".join(filter(None, (item.variation, item.note))),
        families=families,
        unites="ears" in families or bool(_UNITING & {*front.goals}) or front.moment == "closing",
        formation=item.formation or front.formation or "",
        as_they_stand=not item.formation
        and bool(suggested and suggested.diagram not in _NEED_WALKING),
        weeks_running=weeks,
        if_time=if_time,
        keep=keep,
    )


def _planned_and_all_keys(item: RoutineItem, exercise: Exercise) -> tuple[int, int]:
    """The number of planned keys and of all keys; (1, 1) for an exercise without keys."""
    rungs = exercise.ladder.rungs if exercise.ladder else ()
    return (len(planned_rungs(item, exercise)), len(rungs)) if rungs else (1, 1)


def _sound(item: RoutineItem, exercise: Exercise) -> int:
    """For how long the planned keys sound, in half-seconds; 0 for an exercise without notes."""
    if exercise.facts is None:
        return 0
    planned, all_keys = _planned_and_all_keys(item, exercise)
    return round(SECOND * exercise.facts.length_seconds) * planned // all_keys


def _length(item: RoutineItem, exercise: Exercise, status: Status) -> int:
    """How long an item takes, in half-seconds: its own `minutes`, or else what its exercise takes
    at this status, less the keys that are not planned."""
    if item.minutes is not None:
        return round(item.minutes * MINUTE)
    known = _known_length(item, exercise)
    first = round(exercise.front.minutes * MINUTE)
    return clock.length(max(first - _length_left_out(item, exercise), known), known, status)


def _known_length(item: RoutineItem, exercise: Exercise) -> int:
    """How long the planned keys take once the exercise is known, in half-seconds."""
    known = round(known_minutes(exercise.front, exercise.facts) * MINUTE)
    shortest = min(known, clock.BETWEEN)  # no item takes less time than the pause after it
    return max(known - _length_left_out(item, exercise), shortest)


def _length_left_out(item: RoutineItem, exercise: Exercise) -> int:
    """How long the keys that are not planned would have sounded, in half-seconds."""
    if exercise.facts is None:
        return 0
    return round(SECOND * exercise.facts.length_seconds) - _sound(item, exercise)


def _moving_lines(facts: Facts | None) -> int:
    """How many different lines are sung at once, counting only those that move: neither a drone nor
    a sustained chord counts."""
    if facts is None:
        return 0
    moving = {
        voice.line
        for voice in facts.voices
        if voice.voice != LEADER and any(size for size, count in voice.intervals.items() if count)
    }
    return min(facts.parts, len(moving))


def _from_above(facts: Facts | None) -> bool:
    """Whether every voice that sings begins on its highest note and moves down from it."""
    voices = facts.voices if facts else ()
    moving = [voice for voice in voices if voice.voice != LEADER and voice.ambitus_semitones]
    return bool(moving) and all(voice.first == voice.highest for voice in moving)


def _with_voices(
    made: PlannedItem, item: RoutineItem, exercise: Exercise, present: set[str]
) -> PlannedItem:
    """`made`, completed with what the voices in `present` sing in each key."""
    keys: list[Mapping[str, KeyReach]] = []
    unsung_key = ""
    for rung in planned_rungs(item, exercise):
        singing = {
            name: _reach(step, made.half_closed)
            for name, step in rung.voices.items()
            if name in present and name not in rung.out
        }
        if not singing and not unsung_key:
            unsung_key = str(rung.tonic)
        keys.append(singing)
    singing_time = _singing(made, item, exercise, keys)
    return replace(
        made,
        keys=tuple(keys),
        unsung_key=unsung_key,
        singing=singing_time,
        there=frozenset(present),
    )


def _reach(step: Step, half_closed: bool) -> KeyReach:
    """What a voice sings in one key. If the item is `half_closed` or the whole reach is `wide`,
    as when it is hummed, none of its notes counts as sung with an open mouth."""
    reach = step.reach.moved(12 * step.octaves)
    glides = [note for note in (reach.glided_lowest, reach.glided_highest) if note is not None]
    lowest, highest = min([reach.lowest, *glides]), max([reach.highest, *glides])
    if half_closed or reach.wide:
        return KeyReach(lowest, highest)
    return KeyReach(lowest, highest, reach.lowest, reach.highest)


def _singing(
    made: PlannedItem,
    item: RoutineItem,
    exercise: Exercise,
    keys: Sequence[Mapping[str, KeyReach]],
) -> int:
    """The singing time of the voice that sings most of the item, in half-seconds; 0 for impact 1,
    which needs no voice."""
    if made.impact < 2:
        return 0
    by_voice = [
        round(SECOND * load.seconds / load.keys) * sum(name in key for key in keys)
        for name, load in exercise.loads.items()
        if load.keys
    ]
    if not any(by_voice):
        return made.length // 2
    known = _known_length(item, exercise)
    longest = max(by_voice)
    return longest * max(made.length, known) // known if known else longest
