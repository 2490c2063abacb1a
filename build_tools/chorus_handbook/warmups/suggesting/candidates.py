"""The candidates of a suggestion: the exercises that may be chosen, as they would be planned.

An exercise may be a candidate several times: in all its keys and in fewer, and, where voices come
late or leave, once for each phase of the warm-up. An exercise to which one of the checks of single
items objects is no candidate.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from chorus_handbook.chorus.model import Chorus, Vocabulary
from chorus_handbook.entries.model import Source, Text
from chorus_handbook.entries.warm_up import (
    WARM_UP,
    Keep,
    LeadsInto,
    WarmUpFields,
    WarmUpItem,
    read_there,
)
from chorus_handbook.records import Exercise
from chorus_handbook.records.planning_numbers import PlanningNumbers
from chorus_handbook.warmups.checks.from_above import check_from_above
from chorus_handbook.warmups.checks.length import LONGEST
from chorus_handbook.warmups.checks.occasion import check_occasion
from chorus_handbook.warmups.checks.parts import check_parts
from chorus_handbook.warmups.checks.phrases import check_phrases
from chorus_handbook.warmups.checks.seated import check_seated
from chorus_handbook.warmups.checks.voices import check_voices
from chorus_handbook.warmups.planning import order_of, voices_there
from chorus_handbook.warmups.rotation import OFTEN, Log, in_window
from chorus_handbook.warmups.running_order import MINUTE, PlannedItem, RunningOrder
from chorus_handbook.warmups.suggesting.demands import (
    GENTLE_LEVEL,
    begins_gently,
    depends_on_formation,
    in_pairs,
    is_quiet,
    sings,
)
from chorus_handbook.warmups.suggesting.evening import (
    comfortable,
    least_length,
    suits,
    teaches_nothing,
)
from chorus_handbook.warmups.suggesting.key_runs import key_runs
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.wanted import is_wanted, other_formation

#: The checks that look at each item by itself.
_ITEM_CHECKS = (check_voices, check_occasion, check_phrases, check_seated, check_parts)
#: Kinds of warm-ups in which nobody is taken to the edge of a range (our choice).
_GENTLE_KINDS = frozenset({"seated", "children", "outdoor"})
#: After this many days without a warm-up a chorus begins again low and slow. Source: common
#: practice; the number is our choice.
BREAK = 15
#: The most keys of an item in the first warm-up after such a break, and for tired voices (our
#: choice).
_FEW_KEYS = 3
#: The goal of exercises that grow and fade.
_SWELL = "dynamics"
#: The most keys that an item may have in a short warm-up: in one of up to 6 minutes 3 keys, of up
#: to 15 minutes 4 (our choice: more keys in little time feel rushed).
_MOST_KEYS = ((6, 3), (15, 4))

#: By how much a quiet item may be longer while a voice is still to come, in half-seconds; one
#: without the voice only by the first.
_LONGER = (MINUTE // 2, MINUTE)


@dataclass(frozen=True, slots=True)
class Candidate:
    """An exercise as it would be planned.

    item: its numbers. `written`: its fields as they would stand in the file of the warm-up.
    phase: the phase of the warm-up for which it is planned, from 0; see `phases`.
    shortened: whether it has fewer keys than another candidate of the same exercise and phase.
    goals, sounding, moment: as its author states them; `moment` is empty if it does not matter.
    outings: the number of days before the warm-up on which it was sung, or is planned to be sung.
        `lately`: how many of these days are in the last four weeks. `rested`: how many days have
        passed since the last of them; None if there is none. `only_planned`: the last of them, as
        `date.toordinal` counts, if all of them are still to come, so that no log can say yet
        whether it was sung; else None.
    untried: whether it is kept for the season, but was planned once or twice at most, and no log
        says yet that it was ever sung.
    quick: whether it is quick, lively or wide. `welcomes`: whether a voice that comes when its
        phase begins can start singing with it. `swells`: whether it grows and fades.
        `flows`: whether it is half-closed and mainly for the breath, such as a trill.
        `paired`: whether everyone turns to a neighbour.
    """

    item: PlannedItem
    written: WarmUpItem
    phase: int = 0
    shortened: bool = False
    goals: tuple[str, ...] = ()
    sounding: str = ""
    moment: str = ""
    outings: int = 0
    lately: int = 0
    rested: int | None = None
    only_planned: int | None = None
    untried: bool = False
    quick: bool = False
    welcomes: bool = False
    swells: bool = False
    flows: bool = False
    paired: bool = False

    @property
    def slug(self) -> str:
        return self.item.slug


@dataclass(frozen=True, slots=True)
class Phase:
    """A part of a warm-up during which no voice comes or leaves: when it begins, in half-seconds
    from the start, and the voices that are present."""

    begins: int
    present: frozenset[str]


@dataclass(frozen=True, slots=True)
class Stock:
    """Everything that candidates are made from. Days are numbered as by `date.toordinal`.

    exercises, numbers: map the slug of each exercise that can be planned to the exercise, and to
        its numbers for planning.
    log: the days on which each exercise was sung, or is planned to be sung before the request's
        day. `to_come`: those of its days that are only planned.
    kept: maps the slugs of the season's opener and closer, as the last weekly warm-up has them, to
        "opener" or "closer" (see `PlannedItem.keep`).
    last: the day of the last warm-up before the request's day; None if there was none.
    """

    exercises: Mapping[str, Exercise]
    numbers: Mapping[str, PlanningNumbers]
    chorus: Chorus
    vocabulary: Vocabulary
    log: Log
    kept: Mapping[str, Keep]
    to_come: frozenset[int] = frozenset()
    last: int | None = None

    @property
    def keeps_log(self) -> bool:
        """Whether anything was logged as sung, so that the log can say what was not."""
        return not {*self.log.days} <= self.to_come

    def after_break(self, day: int) -> bool:
        """Whether the last warm-up before `day` is `BREAK` days ago or more."""
        return self.last is not None and day - self.last >= BREAK


def as_text(request: Request, items: Sequence[WarmUpItem]) -> Text[WarmUpFields]:
    """The warm-up that a request asks for, with these items, as if it had been read from a file."""
    front = WarmUpFields(
        title="Warm-up",
        date=request.day.isoformat(),
        starts=request.starts,
        minutes=request.minutes,
        kind=request.kind,
        leads_into=LeadsInto(goals=list(request.goals)) if request.goals else None,
        present=list(request.present) or None,
        few=list(request.few),
        there=dict(request.there),
        items=list(items),
    )
    return Text(WARM_UP.name, Source("suggested", "suggested", None, {}), front.title, front)


def phases(request: Request, chorus: Chorus) -> list[Phase]:
    """The phases of a warm-up, in order: a new one begins whenever a voice comes or leaves."""
    text = as_text(request, [WarmUpItem(exercise="any")])
    times = {0}
    for hours in request.there.values():
        for time in read_there(hours):
            if time is not None and text.front.minutes_after_start(time) > 0:
                times.add(text.front.minutes_after_start(time) * MINUTE)
    return [Phase(time, frozenset(voices_there(text, chorus, time))) for time in sorted(times)]


def arrivals(phases: Sequence[Phase]) -> Iterator[tuple[str, int]]:
    """Each voice that comes late, and the number of the phase with which it comes."""
    for number, phase in enumerate(phases[1:], 1):
        for voice in sorted(phase.present - phases[number - 1].present):
            yield voice, number


def candidates(request: Request, stock: Stock) -> list[Candidate]:
    """All candidates for a request, sorted by exercise."""
    found: list[Candidate] = []
    moments = phases(request, stock.chorus)
    for _, exercise in sorted(stock.exercises.items()):
        if not is_wanted(exercise, request, stock.vocabulary):
            continue
        for number, phase in enumerate(moments):
            if not phase.present:
                continue
            late = {voice for voice, comes in arrivals(moments) if comes == number}
            waits = any(comes > number for _, comes in arrivals(moments))
            found += _of_exercise(request, stock, exercise, phase, number, late, waits=waits)
    return found


def _of_exercise(
    request: Request,
    stock: Stock,
    exercise: Exercise,
    phase: Phase,
    number: int,
    late: Collection[str],
    *,
    waits: bool,
) -> Iterator[Candidate]:
    """The candidates that an exercise gives for the phase with this `number`, one for each run of
    keys. `late` are the voices that come when that phase begins. `waits`: whether further voices
    come after it, so that quiet items may take a little longer, until these are there."""
    front, slug, day = exercise.front, exercise.slug, request.day.toordinal()
    again = stock.after_break(day)
    gently = request.tired or again or request.kind in _GENTLE_KINDS
    days = stock.log.before(slug, day)
    manner = stock.vocabulary.soundings.get(front.sounding)
    if manner and manner.widest:
        gently = False  # hums, trills and glides go to the edge of a range without effort
    numbers = stock.numbers[slug]
    quick = numbers.quick
    most = next((keys for minutes, keys in _MOST_KEYS if request.minutes <= minutes), None)
    most = _FEW_KEYS if again or request.tired else most
    low = again or request.tired
    goal = stock.vocabulary.goals.get(front.goals[0])
    within = low or not (goal and goal.family == "reach")
    runs = key_runs(
        exercise, numbers, phase.present, gently=gently, within=within, most=most, low=low
    )
    planned = days[-1] if days and stock.to_come >= {*days} else None
    keep = stock.kept.get(slug) if request.kind != "children" else None  # another group
    untried = bool(keep and planned and stock.keeps_log and len(days) < OFTEN)
    if untried and (teaches_nothing(request) or again) and slug not in request.keep:
        return
    swells, ranges = _SWELL in front.goals, comfortable(stock.chorus)
    stand = other_formation(front, request, stock.vocabulary)
    for place, keys in enumerate(runs):
        written = WarmUpItem(exercise=slug, keys=keys, keep=keep, formation=stand)
        item = _planned(request, stock, phase, written)
        if item and (needed := least_length(item, front.moment or "")) != item.length:
            written = written.model_copy(update={"minutes": needed / MINUTE})
            item = _planned(request, stock, phase, written)
        if not item or not suits(request, item, ranges, again=again, quick=quick, swells=swells):
            continue
        one = Candidate(
            item,
            written,
            phase=number,
            shortened=place > 0,
            goals=tuple(front.goals),
            sounding=front.sounding,
            moment=front.moment or "",
            outings=len(days),
            lately=sum(in_window(one, day) for one in days),
            rested=day - days[-1] if days else None,
            only_planned=planned,
            untried=untried,
            quick=quick,
            swells=swells,
            paired=in_pairs(stand or front.formation, stock.vocabulary),
            flows=item.half_closed and bool(goal and goal.family == "breath"),
            welcomes=any(
                sings(voice, item) and begins_gently(voice, ranges[voice], item) for voice in late
            ),
        )
        yield one
        if waits and not place and is_quiet(item) and item.level == GENTLE_LEVEL:
            for more in _LONGER[: 1 if item.impact == 1 else 2]:
                minutes = (item.length + more) / MINUTE
                longer = written.model_copy(update={"minutes": minutes})
                if planned_longer := _planned(request, stock, phase, longer):
                    yield replace(one, item=planned_longer, written=longer)


def _planned(
    request: Request, stock: Stock, phase: Phase, written: WarmUpItem
) -> PlannedItem | None:
    """An item as it would be planned for the voices that are present in a phase; None if a check of
    single items objects to it."""
    there = replace(request, present=tuple(sorted(phase.present)), there={})
    order = planned_order(there, stock, [written])
    found = [one for check in _ITEM_CHECKS for one in check(order) if one.item is not None]
    # For children one tune at least must begin from above, but not each; `_children` in
    # `conditions` sees to that. So only the other rule of this check is asked for here: how low an
    # item goes.
    falling = replace(order, items=[replace(order.items[0], from_above=True)])
    if found or [*check_from_above(falling)]:
        return None
    item = order.items[0]
    if in_pairs(item.formation, stock.vocabulary):
        item = replace(item, formation="")  # they turn to each other, and back, where they stand
    return replace(item, as_they_stand=not depends_on_formation(item.formation, stock.vocabulary))


def longest(request: Request) -> int:
    """The longest time that a suggestion may take, in half-seconds: the minutes of the request, but
    no more than `checks` allow for its kind of warm-up."""
    return min(int(request.minutes * MINUTE), 3 * LONGEST[request.kind] // 2)


def planned_order(request: Request, stock: Stock, items: Sequence[WarmUpItem]) -> RunningOrder:
    """The running order of a warm-up with these items, as `checks` need it."""
    text = as_text(request, items)
    return order_of(text, stock.numbers, stock.chorus, stock.vocabulary, stock.log)
