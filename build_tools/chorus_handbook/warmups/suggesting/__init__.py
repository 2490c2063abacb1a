"""Suggests a warm-up for an evening: the best one that can be made of a chorus's exercises.

The choice is made by an integer program (`program`): a list of yes-or-no choices, conditions that
they must meet together, and a number of points for each. `request` says what is asked for.
`candidates` are the exercises that may be chosen; `choices` makes one yes-or-no choice of each
candidate in each place of the warm-up in which it may stand. `conditions` adds what every warm-up
must be, `qualities` what makes one better than another, and `solver` finds the best. The result is
checked by `checks` like any other warm-up. If no warm-up meets the request, `conflicts` names the
wishes that do not go together.

The same request and the same handbook give the same suggestion on every computer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.clock import END, total
from chorus_handbook.warmups.running_order import MINUTE, RunningOrder
from chorus_handbook.warmups.suggesting.candidates import (
    Candidate,
    Phase,
    Stock,
    candidates,
    longest,
    phases,
    planned_order,
)
from chorus_handbook.warmups.suggesting.choices import Choice, Choices, choices_for
from chorus_handbook.warmups.suggesting.conditions import add_conditions
from chorus_handbook.warmups.suggesting.conflicts import conflicting
from chorus_handbook.warmups.suggesting.formations import most_walks, standing_alike, walks
from chorus_handbook.warmups.suggesting.program import Solution
from chorus_handbook.warmups.suggesting.qualities import add_qualities
from chorus_handbook.warmups.suggesting.request import LONGEST, Request, Wish
from chorus_handbook.warmups.suggesting.solver import MOST_NODES, solve
from chorus_handbook.warmups.suggesting.worth import Season, season_before

#: How many warm-ups are tried at most. One that gets a notice from `checks` is excluded, and the
#: program is solved again.
_MOST_REPAIRS = 20


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A suggested warm-up: the choices of its one or two blocks in order, the running order that
    they all make, and the solution of the program, which says how good it is and whether there
    could be a better one."""

    blocks: tuple[tuple[Choice, ...], ...]
    order: RunningOrder
    solution: Solution

    @property
    def choices(self) -> tuple[Choice, ...]:
        """The choices of all blocks, in order."""
        return tuple(one for block in self.blocks for one in block)


def conflict(request: Request, stock: Stock) -> list[Wish]:
    """The wishes of a request that do not go together, if no warm-up meets it: as soon as any one
    of them is given up, there is a warm-up. Empty if there is none even without any wish."""
    return conflicting(request, lambda one: possible(one, stock))


def possible(request: Request, stock: Stock) -> bool:
    """Whether there is a warm-up for a request."""
    blocks = [request]
    if second := request.second_block():
        blocks = [replace(request, minutes=request.minutes - second.minutes), second]
    return all(solve(model(one, stock).program, any_solution=True) for one in blocks)


def shortest(request: Request, stock: Stock) -> int | None:
    """The shortest whole number of minutes, beyond those of a request, in which there is a warm-up
    for it; None if there is none in an hour."""
    low, high = int(request.minutes), int(LONGEST)
    if not possible(replace(request, minutes=high), stock):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if possible(replace(request, minutes=middle), stock):
            high = middle
        else:
            low = middle
    return high


def model(request: Request, stock: Stock) -> Choices:
    """The choices for a request, with the complete program: each of its solutions is a warm-up that
    meets the request."""
    season, moments = season_before(request, stock), phases(request, stock.chorus)
    return model_of(request, stock, candidates(request, stock), moments, season)


def model_of(
    request: Request,
    stock: Stock,
    found: Sequence[Candidate],
    moments: Sequence[Phase],
    season: Season,
) -> Choices:
    """The same as `model`, made from the candidates `found`, the phases `moments` and `season`."""
    choices = choices_for(request, stock, found, moments, season)
    add_conditions(choices)
    add_qualities(choices, season)
    return choices


class NothingRightError(Exception):
    """Every warm-up that was tried gets a notice from `checks`, although it meets all conditions of
    the program."""


def suggest(request: Request, stock: Stock, nodes: int = MOST_NODES) -> Suggestion | None:
    """The best warm-up for a request; None if no warm-up meets it. `nodes` limits the work of the
    solver. Raises NothingRightError."""
    asked = request.second_block()
    if asked is None:
        return _one_block(request, stock, nodes)
    second = _one_block(asked, stock, nodes)
    if second is None:
        return None
    left = request.minutes - (total(second.order.items) - END) / MINUTE
    first = _one_block(replace(request, minutes=left), stock, nodes)
    return None if first is None else _joined(request, stock, first, second)


def _joined(request: Request, stock: Stock, first: Suggestion, second: Suggestion) -> Suggestion:
    """Two blocks as one warm-up. Neither depends on what is in the other, so both together are the
    best if each is. Raises NothingRightError."""
    opening = second.choices[0]
    written = opening.candidate.written.model_copy(update={"at": request.again})
    opening = replace(opening, candidate=replace(opening.candidate, written=written))
    blocks = (first.choices, (opening, *second.choices[1:]))
    items = [one.candidate.written for block in blocks for one in block]
    order = planned_order(request, stock, items)
    if findings(order):
        raise NothingRightError
    solution = Solution(
        (),
        first.solution.worth + second.solution.worth,
        first.solution.bound + second.solution.bound,
        first.solution.nodes + second.solution.nodes,
    )
    return Suggestion(blocks, order, solution)


def _one_block(request: Request, stock: Stock, nodes: int) -> Suggestion | None:
    """The best warm-up in one block; None if there is none. Raises NothingRightError."""
    choices = model(request, stock)
    for _ in range(_MOST_REPAIRS):
        solution = solve(choices.program, nodes=nodes)
        if solution is None:
            return None
        chosen = [one for one in choices.all if solution.values[one.column] > 0.5]
        chosen.sort(key=lambda one: one.place)
        # Where the singers may stand in two formations one after the other, this is tried first.
        spare = most_walks(request) - walks([one.item for one in chosen])
        for may_walk in (spare > 0 and not request.tired, False):
            stood = standing_alike(chosen, request.goals, may_walk=may_walk)
            order = planned_order(request, stock, [one.candidate.written for one in stood])
            if total(order.items) <= longest(request) and not findings(order):
                return Suggestion((tuple(stood),), order, solution)
        # `checks` found something: never choose exactly these again.
        choices.program.at_most({one.column: 1 for one in chosen}, len(chosen) - 1)
    raise NothingRightError
