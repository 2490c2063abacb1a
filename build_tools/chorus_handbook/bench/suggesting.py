"""Measures how long it takes to choose a warm-up from 500 exercises, against 100, and how good it
is shown to be.

The exercises are those of the project, again and again under other names; each copy is a little
longer and was sung on other days than the one before, so that no two are worth the same. What is
timed is building and solving the program, which is all that grows with their number.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from chorus_handbook.commands.project import Project
from chorus_handbook.entries.warm_up import WarmUpItem
from chorus_handbook.warmups.running_order import SECOND
from chorus_handbook.warmups.suggesting import model_of
from chorus_handbook.warmups.suggesting.candidates import Candidate, candidates, phases
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.solver import solve
from chorus_handbook.warmups.suggesting.stock import stock_before
from chorus_handbook.warmups.suggesting.worth import season_before
from chorus_handbook.warmups.texts import warm_ups_in

FEW, MANY = 100, 500
#: How long the warm-up may take, in minutes.
_MINUTES = 20
#: How far from proven a suggestion may be, in percent.
GOAL_GAP = 3


def report_suggesting(project: Project) -> None:
    """Print how many times as much CPU time it takes to suggest a warm-up from 500 exercises as
    from 100, how many seconds it takes from 500, and how much better another suggestion could be at
    most (the gap)."""
    book = project.read()
    chorus, vocabulary = book.config.chorus, book.config.vocabulary
    assert chorus and vocabulary
    warm_ups = warm_ups_in(book.texts)
    day = warm_ups[-1].front.day + timedelta(weeks=1) if warm_ups else date(2026, 9, 3)
    stock = stock_before(day, book.exercises, chorus, vocabulary, warm_ups)
    served = Counter(one.front.goals[0] for one in stock.exercises.values())
    goals = tuple(goal for goal, _ in served.most_common(2))
    request = Request(day, "19:30", _MINUTES, goals=goals)
    moments, season = phases(request, chorus), season_before(request, stock)
    own = candidates(request, stock)
    seconds, told = [], ""
    for count in (FEW, MANY):
        begins = time.process_time()
        choices = model_of(request, stock, [*many(own, count)], moments, season)
        solution = solve(choices.program)
        seconds.append(time.process_time() - begins)
        if solution is None:
            print(f"a suggestion from {count} exercises: there is none")
            return
        told = "proven" if solution.proven else f"gap {100 * solution.gap:.1f} %"
    print(
        f"a suggestion from {MANY} exercises / from {FEW}   {seconds[1] / seconds[0]:.1f}; "
        f"{seconds[1]:.1f} s CPU, {told}  (goal: proven, or a gap of {GOAL_GAP} % at most)"
    )


def many(own: Sequence[Candidate], count: int) -> Iterator[Candidate]:
    """The candidates of `count` exercises: those in `own`, then copies of them under other
    names."""
    slugs = list(dict.fromkeys(one.slug for one in own))
    for number in range(count):
        slug, copy = slugs[number % len(slugs)], number // len(slugs)
        for one in own:
            if one.slug != slug:
                continue
            name = f"{slug}-{copy}" if copy else slug
            item = replace(one.item, slug=name, length=one.item.length + copy * SECOND)
            written = WarmUpItem.model_validate(one.written.model_dump() | {"exercise": name})
            outings = (one.outings + copy) % 5 if one.outings else 0
            keep = None if copy else one.item.keep
            yield replace(one, item=replace(item, keep=keep), written=written, outings=outings)
