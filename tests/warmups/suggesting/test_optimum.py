"""What is suggested is the best there is: by exhaustive search on small stocks, and by a second
solver (CBC, which PuLP brings) on twenty larger ones."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from random import Random

import pulp
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.clock import BETWEEN, CHANGE, END, timetable, total
from chorus_handbook.warmups.running_order import MINUTE, PlannedItem, RunningOrder
from chorus_handbook.warmups.suggesting import model_of, weights
from chorus_handbook.warmups.suggesting.choices import POINT, Choice, Choices
from chorus_handbook.warmups.suggesting.novelty import SPARE
from chorus_handbook.warmups.suggesting.program import Program
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.solver import solve
from chorus_handbook.warmups.suggesting.stages import Stage
from chorus_handbook.warmups.suggesting.worth import Season, worth_of
from suggested_stocks import ALL_THERE, GOALS, VOICES, drawn, request, stock

STOCK = stock()
SEASON = Season(new_due=True, rested=frozenset({"reach"}))


def model(count: int, seed: int, asked: Request, *, brisk: bool = False) -> Choices:
    return model_of(asked, STOCK, drawn(count, Random(seed), brisk=brisk), ALL_THERE, SEASON)


def warm_ups(choices: Choices, place: int = 0) -> Iterator[tuple[Choice, ...]]:
    """Every choice of one exercise or none for each place, whatever the rules say; the same
    exercise not twice."""
    if place == len(choices.places):
        yield ()
        return
    for rest in warm_ups(choices, place + 1):
        yield rest
        there = {one.candidate.slug for one in rest}
        for one in choices.here[place]:
            if one.candidate.slug not in there:
                yield (one, *rest)


def right(chosen: Sequence[Choice], choices: Choices) -> bool:
    """Whether it is a warm-up: no check finds anything, and what only suggestions must be."""
    items, asked = [one.item for one in chosen], choices.request
    walks = walks_for(items)
    longer = (walks - sum(slot.moves for slot in timetable(items))) * (CHANGE - BETWEEN)
    if not any(item.impact > 1 for item in items) or total(items) + longer > asked.minutes * MINUTE:
        return False
    spare = SPARE * any(item_is_new(one) for one in chosen)
    if total(items) + longer + spare > asked.minutes * MINUTE:
        return False
    if walks > 1 or len(items) > (4 if asked.minutes <= 6 else 5):
        return False
    hard = [item.level == 3 and item.lines != 1 and item.impact > 1 for item in items]
    if any(a and b for a, b in pairwise(hard)):
        return False
    if asked.goals and any(one.candidate.quick for one in chosen[-2:]):
        return False
    order = RunningOrder(items, allowed=round(asked.minutes * MINUTE), voices=VOICES)
    sung = [order.singing_before(place) for place in range(len(items))]
    early = any(i.impact == 5 and s < 4 * MINUTE for i, s in zip(items, sung, strict=True))
    goals = {goal for one in chosen for goal in one.candidate.goals}
    fits = not early and goals >= {*asked.goals} and in_order(chosen)
    fits = fits and not longest_is_new(chosen, choices) and closes_within_reach(chosen, choices)
    return fits and opens_up(chosen, choices) and not findings(order)


def longest_is_new(chosen: Sequence[Choice], choices: Choices) -> bool:
    """Whether the new item is longer than every other by more than a minute, although there are
    others as long to choose, and others for its goal if the music asks for that."""
    for one in (one for one in chosen if item_is_new(one)):
        enough, goal = one.item.length - MINUTE, one.item.main_goal
        known = [other for other in choices.all if not item_is_new(other)]
        all_there_is = goal in choices.request.goals and not any(
            other.item.main_goal == goal for other in known
        )
        if any(other.item.length >= enough for other in known) and not all_there_is:
            return not any(other.item.length >= enough for other in chosen if other is not one)
    return False


def closes_within_reach(chosen: Sequence[Choice], choices: Choices) -> bool:
    """Whether the close takes no voice more than a fourth above what it has sung, where that is
    more than a fourth above the middle of its range, as far as any item could prepare it."""
    if chosen[-1].stage != Stage.CLOSE:
        return True
    for voice, own in VOICES.items():
        top = highest(chosen[-1], voice)
        able = [one for one in choices.all if one.stage != Stage.CLOSE]
        prepared = any(highest(one, voice) >= top - 5 for one in chosen[:-1])
        possible = any(highest(one, voice) >= top - 5 for one in able)
        if top > (own.low + own.high) / 2 + 5 and possible and not prepared:
            return False
    return True


def highest(one: Choice, voice: str) -> int:
    """The highest note of a voice in an item; 0 if it does not sing."""
    return max((key[voice].highest for key in one.item.keys if voice in key), default=0)


def opens_up(chosen: Sequence[Choice], choices: Choices) -> bool:
    """Whether gentle sound comes first, half-closed sound before open sound, and a hum that opens
    before vowels, as far as there is any of it to choose."""
    steps = [step_of(one) for one in chosen]
    taken = [step for step in steps if step]
    if taken != sorted(taken):
        return False
    sung = [one for one in chosen if one.item.impact > 1]
    if sung[0].item.impact > 2 and any(one.item.impact == 2 for one in choices.all):
        return False
    closed = [one.item.half_closed for one in chosen]
    first = next((place for place, step in enumerate(steps) if step), None)
    known = any(one.item.half_closed for one in choices.all)
    return first is None or not known or any(closed[:first])


def step_of(one: Choice) -> int:
    """1 for a hum that opens, 2 for open vowels, before the close; 0 for all else."""
    item = one.item
    if one.stage == Stage.CLOSE or item.impact != 3 or item.lines > 1:
        return 0
    return {"resonance": 1, "easy-onset": 1, "vowels": 2}.get(item.main_goal, 0)


def walks_for(items: Sequence[PlannedItem]) -> int:
    """How often the chorus changes its formation, if it stands anyhow for what does not matter."""
    found, standing = 0, ""
    for item in items:
        if item.formation and item.as_they_stand:
            standing = standing or "anyhow"
        elif item.formation:
            found += standing not in ("", item.formation)
            standing = item.formation
    return found


def in_order(chosen: Sequence[Choice]) -> bool:
    """Within a stage no place is left free before another, and impact does not fall."""
    for stage in Stage:
        own = [one for one in chosen if one.stage == stage]
        if any(b.place - a.place != 1 for a, b in pairwise(own)):
            return False
        asks = [asked_by(one) for one in own]
        if asks != sorted(asks):
            return False
    return True


def asked_by(one: Choice) -> tuple[float, int, int]:
    """How much an item asks of voices, as its stage orders it."""
    item, further = one.item, {0: 0.0, 1: 0.0, 2: 0.15}
    raw = {"resonance": 1, "easy-onset": 1, "vowels": 2}.get(item.main_goal, 0)
    step = raw if item.impact == 3 and item.lines <= 1 else 0
    opened = item.impact == 2 and item.lines <= 1 and not item.half_closed
    return (
        (3 + further[step], 0, min(item.span, 29))
        if step
        else (item.impact + 0.2 * opened, min(item.lines, 4), min(item.span, 29))
    )


def item_is_new(one: Choice) -> bool:
    """Whether the chorus has never met it."""
    return one.item.status == "new" and not one.candidate.outings


def points(chosen: Sequence[Choice], choices: Choices) -> int:
    """What a warm-up is worth by the table of weights, counted from its items, in half-seconds."""
    items, asked = [one.item for one in chosen], choices.request
    found = 0
    stages = [one.stage for one in chosen]
    for one in chosen:
        found += worth_of(one.candidate, one.stage, asked, SEASON)
    for stage in Stage:
        found += weights.STAGE[stage] if stage in stages else 0
        if stage in (Stage.BODY, Stage.BREATH):
            found += weights.STAGE_AGAIN * max(0, stages.count(stage) - 1)
    found += weights.CHANGE * walks_for(items)
    if chosen[-1].stage == Stage.CLOSE and walks_for(items) > walks_for(items[:-1]):
        found += weights.CHANGE_LAST
    known = [one for one in chosen if not item_is_new(one)]
    if any(one.stage != Stage.CLOSE and open_line(one.item) for one in known):
        found += weights.OPEN_LINE
    if any(one.item.main_goal in asked.goals[:1] for one in known):
        found += weights.KNOWN_GROUND
    for goal in asked.goals:
        main = sum(item.main_goal == goal for item in items)
        also = sum(goal in one.candidate.goals[1:] for one in chosen)
        found += (weights.MAIN_GOAL if main else 0) + (weights.ALSO_GOAL if also else 0)
        found += weights.MAIN_GOAL_AGAIN if main > 1 else 0
        found += weights.GOAL_AGAIN * min(2, main + also - 1)
    late = [one for one in chosen if one.stage in (Stage.CLOSE, choices.places[-2])]
    if any({*one.candidate.goals} & {*asked.goals} for one in late):
        found += weights.LEADS_IN
    new = [place for place, one in enumerate(chosen) if item_is_new(one)]
    found += weights.NEW_FIRST if 0 in new else 0
    found += weights.NEW_LAST if len(chosen) - 1 in new else 0
    if asked.goals:  # all of them calm
        found += weights.RESTLESS * sum(
            one.candidate.quick and one.item.impact > 1 for one in chosen
        )
    served = {GOALS[goal] for one in chosen for goal in one.candidate.goals}
    found += len(served) * weights.FAMILY
    found += len(served & SEASON.rested) * weights.FAMILY_RESTED
    families = Counter(GOALS[item.main_goal] for item in items)
    for family in families.keys() - {GOALS[goal] for goal in asked.goals}:
        found += weights.SAME_FAMILY * max(0, families[family] - 2)
    mains = Counter(item.main_goal for item in items if item.main_goal not in asked.goals)
    found += weights.SAME_GOAL * sum(count - 1 for count in mains.values())
    manners = Counter(one.candidate.sounding for one in chosen)
    found += weights.SAME_SOUNDING * sum(count - 1 for count in manners.values())
    allowed = round(asked.minutes * MINUTE)
    used = sum(item.length + BETWEEN for item in items) + END - BETWEEN
    found = POINT * found + weights.LEFT_OVER * max(0, allowed * 9 // 10 - used)
    silent = sum(item.length for item in items if item.impact == 1)
    found += weights.SILENT * max(0, silent - allowed // 4)
    return found + sum(item.length + BETWEEN for item in items)


def open_line(item: PlannedItem) -> bool:
    """Whether all sing one line with an open mouth, lightly at most."""
    return item.unison and bool(item.keys) and not item.half_closed and 2 <= item.impact <= 3


@settings(max_examples=20)
@given(
    count=st.integers(2, 7),
    seed=st.integers(0, 10**6),
    minutes=st.sampled_from([3, 4, 6, 8]),
    goals=st.sampled_from([(), ("tuning",), ("vowels", "blend")]),
)
def test_nothing_is_better_by_exhaustive_search(
    count: int, seed: int, minutes: int, goals: tuple[str, ...]
) -> None:
    asked = request(minutes, *goals)
    choices = model(count, seed, asked, brisk=True)
    best = max(
        (points(one, choices) for one in warm_ups(choices) if one and right(one, choices)),
        default=None,
    )
    solution = solve(choices.program)
    assert (solution.worth if solution else None) == best
    if solution:
        chosen = [one for one in choices.all if solution.values[one.column] > 0.5]
        chosen.sort(key=lambda one: one.place)
        assert right(chosen, choices) and points(chosen, choices) == best and solution.proven


def by_cbc(program: Program) -> int | None:
    """The greatest worth of a program, by CBC; None if it has no solution."""
    problem = pulp.LpProblem("warm-up", pulp.LpMaximize)
    columns = [
        pulp.LpVariable(f"c{n}", 0, one.high, pulp.LpInteger if one.whole else pulp.LpContinuous)
        for n, one in enumerate(program.columns)
    ]
    problem += pulp.lpSum(
        one.worth * column for one, column in zip(program.columns, columns, strict=True)
    )
    for row in program.rows:
        terms = pulp.lpSum(factor * columns[n] for n, factor in row.terms.items())
        if row.least is not None:
            problem += terms >= row.least
        if row.most is not None:
            problem += terms <= row.most
    problem.solve(pulp.PULP_CBC_CMD(msg=False, gapRel=0, threads=1))
    return round(pulp.value(problem.objective)) if problem.sol_status == 1 else None


@pytest.mark.parametrize("seed", range(20))
def test_a_second_solver_agrees(seed: int) -> None:
    goals = [("tuning", "blend"), ("range",), ("breath-flow", "vowels"), ()][seed % 4]
    choices = model(12 + seed, seed, request(8 + seed % 5, *goals))
    solution = solve(choices.program)
    assert solution is None or solution.proven
    assert by_cbc(choices.program) == (solution.worth if solution else None)
