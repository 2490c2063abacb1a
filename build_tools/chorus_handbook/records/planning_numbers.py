"""What planning a warm-up needs to know of an exercise, in whole numbers.

These numbers do not depend on any plan. What does (which keys are planned, on which day, and who is
present) is added by `warmups/planning.py` and, in the browser, by `browser/planning.js`; both
compute the same. Times are half-seconds, pitches MIDI numbers and intervals semitones, so that
neither side rounds.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import MISSING, asdict, dataclass, field, fields
from typing import NamedTuple

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.entries.cautions import cautions_for
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.entries.steps import is_heading
from chorus_handbook.music.facts import Facts
from chorus_handbook.music.learning import known_minutes, level_of
from chorus_handbook.music.score import LEADER
from chorus_handbook.records.quickness import is_quick
from chorus_handbook.records.record import Exercise
from chorus_handbook.voices.ladder import Ladder, Step

#: A second and a minute, in half-seconds.
SECOND = 2
MINUTE = 60 * SECOND

#: Goals that bring a chorus together at the end of a warm-up. Goals of the family "ears" do so too,
#: and so does an exercise whose `moment` is "closing".
_UNITING = frozenset({"blend", "tuning", "harmony", "together", "expression"})
#: Formations, by the name of their picture, for which singers must walk to another place. When an
#: exercise suggests another one, such as rows, or pairs that only turn to each other, they can stay
#: where they stand (our choice).
_NEED_WALKING = frozenset({"circle", "square"})
#: The goal of exercises in which singers breathe one after another.
_BREATH_SHARING = "breath-sharing"
#: Goals and manners of sounding in which bodies move. The family "body" has more goals, but one can
#: stand tall or let go of the jaw without moving from the spot.
_ACTIVE_GOALS, _ACTIVE_SOUNDINGS = frozenset({"rhythm", "energy"}), frozenset({"body-sound"})


class VoiceReach(NamedTuple):
    """What a voice sings in the first key, in its own octave: the lowest and highest of all notes,
    and of those sung with an open mouth and not glided over (None if there are none)."""

    lowest: int
    highest: int
    open_lowest: int | None
    open_highest: int | None


@dataclass(frozen=True, slots=True)
class PlanningNumbers:
    """The numbers of one exercise. `PlannedItem` (`warmups/running_order.py`) has the fields that
    are not explained here too, and explains them.

    title: its plain name, or else its title. `also`: its title, if that is another.
    first, known: its time when it is new and once it is known. `sound`: for how long all its keys
        sound together.
    as_they_stand: whether it may be sung in the formation of the item before, as long as the plan
        names none.
    keys, tonics: the names of its keys in singing order ("Eb4"), and their MIDI numbers.
    voices: what each voice sings in the first key. `octaves`: for a voice that changes octave or
        steps out in some key, by how many octaves it moves in each key, None where it is out.
    singing: how long each voice sings in one key. `sung`: for how long of it anybody sings. `near`:
        for a voice that leaves what is comfortable for it, for how long in each key, in thousandths
        of a second.
    goals, cautions: by name, as in vocabulary.yml. `moment`: when in a warm-up it is meant for.
    seated: whether it is done seated, or its text says how it can be. `quick`: whether it is quick,
        lively or wide.
    """

    slug: str
    title: str
    impact: int
    first: int
    known: int
    also: str = ""
    sound: int = 0
    level: int = 1
    lines: int = 0
    unison: bool = False
    leap: int = 0
    span: int = 0
    phrase: int = 0
    half_closed: bool = False
    is_round: bool = False
    main_goal: str = ""
    breath_free: bool = False
    from_above: bool = False
    active: bool = False
    parts: tuple[tuple[str, ...], ...] = ()
    families: tuple[str, ...] = ()
    unites: bool = False
    formation: str = ""
    as_they_stand: bool = False
    keys: tuple[str, ...] = ()
    tonics: tuple[int, ...] = ()
    voices: Mapping[str, VoiceReach] = field(default_factory=dict)
    octaves: Mapping[str, tuple[int | None, ...]] = field(default_factory=dict)
    singing: Mapping[str, int] = field(default_factory=dict)
    sung: int = 0
    near: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    goals: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    moment: str = ""
    seated: bool = False
    quick: bool = False


def planning_numbers(exercise: Exercise, vocabulary: Vocabulary) -> PlanningNumbers:
    """The numbers of an exercise whose notation, if it has any, could be measured."""
    front, facts, ladder = exercise.front, exercise.facts, exercise.ladder
    manner = vocabulary.soundings.get(front.sounding)
    suggested = vocabulary.formations.get(front.formation or "")
    named = [goal for name in front.goals if (goal := vocabulary.goals.get(name))]
    families = sorted({goal.family for goal in named if goal.family})
    half_closed = bool(manner and manner.widest)
    rungs = ladder.rungs if ladder else ()
    moving = _moving_lines(facts)
    return PlanningNumbers(
        slug=exercise.slug,
        title=front.plain or front.title,
        also=front.title if front.plain else "",
        impact=front.impact,
        first=round(front.minutes * MINUTE),
        known=round(known_minutes(front, facts) * MINUTE),
        sound=round(SECOND * facts.length_seconds) if facts else 0,
        level=level_of(front, facts) or 1,
        lines=moving,
        unison=bool(facts and facts.parts == 1 and rungs),
        leap=facts.largest_leap if facts else 0,
        span=facts.ambitus_semitones if facts else 0,
        phrase=round(SECOND * facts.longest_phrase_seconds) if facts else 0,
        half_closed=half_closed,
        is_round=front.round is not None,
        main_goal=front.goals[0],
        # no phrase is too long when nobody need sing it in one breath: where a line stays on one
        # note, or sharing the breath is the aim, singers breathe one after another
        breath_free=_BREATH_SHARING in front.goals or not moving,
        from_above=_from_above(facts),
        active=bool(_ACTIVE_GOALS & {*front.goals}) or front.sounding in _ACTIVE_SOUNDINGS,
        parts=ladder.lines if ladder else (),
        families=tuple(families),
        unites=_unites(front, families),
        formation=front.formation or "",
        as_they_stand=bool(suggested and suggested.diagram not in _NEED_WALKING),
        keys=tuple(str(rung.tonic) for rung in rungs),
        tonics=tuple(rung.tonic.midi for rung in rungs),
        voices={
            name: _reach(step, half_closed)
            for name, step in (rungs[0].voices.items() if rungs else ())
        },
        octaves=_octaves(ladder) if ladder else {},
        singing={
            name: round(SECOND * load.seconds / load.keys)
            for name, load in exercise.loads.items()
            if load.keys
        },
        sung=max(
            (
                round(SECOND * (load.seconds / load.keys + load.waits))
                for load in exercise.loads.values()
                if load.keys
            ),
            default=0,
        ),
        near={
            name: tuple(round(1000 * seconds) for seconds in load.near)
            for name, load in exercise.loads.items()
            if any(load.near)
        },
        goals=tuple(front.goals),
        cautions=tuple(cautions_for(front, vocabulary)),
        moment=front.moment or "",
        seated=bool(suggested and suggested.diagram == "seated") or _says_how_seated(exercise),
        quick=is_quick(front.goals, vocabulary),
    )


def planning_entry(numbers: PlanningNumbers) -> str:
    """The exercise's object in planning.json, as compact JSON text, without its slug, which is its
    key there, and without fields that have their default value."""
    defaults = {
        one.name: one.default_factory() if one.default_factory is not MISSING else one.default
        for one in fields(numbers)
    }
    written = {name: value for name, value in asdict(numbers).items() if value != defaults[name]}
    del written["slug"]
    return json.dumps(written, ensure_ascii=False, separators=(",", ":"))


def _says_how_seated(exercise: Exercise) -> bool:
    """Whether the text of an exercise has a point "Seated:" in the section "Make it fit", which
    says how to do it seated."""
    sections = exercise.entry.source.body.sections
    return any("Seated:" in one.html for one in sections if is_heading(one.heading, "Make it fit"))


def _unites(front: FrontMatter, families: Collection[str]) -> bool:
    """Whether an exercise brings a chorus together; `_UNITING` says which do. `families` are those
    of its goals."""
    return "ears" in families or bool(_UNITING & {*front.goals}) or front.moment == "closing"


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


def _reach(step: Step, half_closed: bool) -> VoiceReach:
    """What a voice sings in the first key, without a change of octave. If the exercise is
    `half_closed` or the whole reach is `wide`, as when it is hummed, none of its notes counts as
    sung with an open mouth."""
    reach = step.reach
    glides = [note for note in (reach.glided_lowest, reach.glided_highest) if note is not None]
    lowest, highest = min([reach.lowest, *glides]), max([reach.highest, *glides])
    if half_closed or reach.wide:
        return VoiceReach(lowest, highest, None, None)
    return VoiceReach(lowest, highest, reach.lowest, reach.highest)


def _octaves(ladder: Ladder) -> dict[str, tuple[int | None, ...]]:
    """Maps the name of each voice that does not sing every key in its own octave to how many
    octaves higher (negative: lower) it sings in each key, None where it is silent."""
    moves = {
        name: tuple(
            None if name in rung.out else rung.voices[name].octaves for rung in ladder.rungs
        )
        for name in (ladder.rungs[0].voices if ladder.rungs else ())
    }
    return {name: found for name, found in moves.items() if any(one != 0 for one in found)}
