"""Suggests a warm-up: the best choice from a chorus's exercises for an evening.

`request` says what is asked for, `candidates` what there is to choose from, `choices` where each
may stand, as columns of an integer program; `conditions` are what a warm-up must be, `qualities`
what makes one better than another, and `solver` solves it. What comes out is checked by
`checks` like any warm-up. If nothing fits, `conflicts` says which wishes do not go together.

The same request and handbook have the same suggestion, on every computer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.clock import total
from chorus_handbook.warmups.running_order import RunningOrder
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
from chorus_handbook.warmups.suggesting.request import Request, Wish
from chorus_handbook.warmups.suggesting.solver import MOST_NODES, solve
from chorus_handbook.warmups.suggesting.worth import Season, season_before

#: How often a choice that draws a notice after all is excluded and another one sought.
_MOST_REPAIRS = 20


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A suggested warm-up: its choices in order, the running order that they make, and how good it
    is shown to be."""

    choices: tuple[Choice, ...]
    order: RunningOrder
    solution: Solution


def conflict(request: Request, stock: Stock) -> list[Wish]:
    """An irreducible set of the wishes that stand in the way, if there is no warm-up for a request;
    empty if there is none whatever is asked for."""
    return conflicting(request, lambda one: _possible(one, stock))


def _possible(request: Request, stock: Stock) -> bool:
    return solve(model(request, stock).program, any_solution=True) is not None


def model(request: Request, stock: Stock) -> Choices:
    """The choices for a request, and the program whose solutions are its warm-ups."""
    season, moments = season_before(request, stock), phases(request, stock.chorus)
    return model_of(request, stock, candidates(request, stock), moments, season)


def model_of(
    request: Request,
    stock: Stock,
    found: Sequence[Candidate],
    moments: Sequence[Phase],
    season: Season,
) -> Choices:
    """The same, made from these candidates."""
    choices = choices_for(request, stock, found, moments, season)
    add_conditions(choices)
    add_qualities(choices, season)
    return choices


class NothingRightError(Exception):
    """Every choice that was tried draws a notice, though the program knows no reason for it."""


def suggest(request: Request, stock: Stock, nodes: int = MOST_NODES) -> Suggestion | None:
    """The best warm-up for a request; None if no warm-up meets it. Raises NothingRightError."""
    choices = model(request, stock)
    for _ in range(_MOST_REPAIRS):
        solution = solve(choices.program, nodes=nodes)
        if solution is None:
            return None
        chosen = [one for one in choices.all if solution.values[one.column] > 0.5]
        chosen.sort(key=lambda one: one.place)
        spare = most_walks(request) - walks([one.item for one in chosen])
        for may_walk in (spare > 0 and not request.tired, False):
            stood = standing_alike(chosen, request.goals, may_walk=may_walk)
            order = planned_order(request, stock, [one.candidate.written for one in stood])
            if total(order.items) <= longest(request) and not findings(order):
                return Suggestion(tuple(stood), order, solution)
        choices.program.at_most({one.column: 1 for one in chosen}, len(chosen) - 1)
    raise NothingRightError
