"""Adds to the integer program what makes one warm-up better than another as a whole: which stages
and goals it has, how varied it is, how often the formation changes. The points are those of
`weights`. What a choice is worth by itself is in `worth`.
"""

from __future__ import annotations

from collections.abc import Iterable

from chorus_handbook.records.quickness import asks_for_calm
from chorus_handbook.warmups.clock import BETWEEN, END
from chorus_handbook.warmups.suggesting import weights
from chorus_handbook.warmups.suggesting.candidates import longest
from chorus_handbook.warmups.suggesting.choices import POINT, Choices
from chorus_handbook.warmups.suggesting.demands import is_open_line
from chorus_handbook.warmups.suggesting.stages import Stage, before_close
from chorus_handbook.warmups.suggesting.worth import Season, is_new


def add_qualities(choices: Choices, season: Season) -> None:
    """Add the qualities of a whole warm-up (its stages, its goals, how varied it is, how often the
    formation changes) to the program of `choices`, as columns that are worth points."""
    program = choices.program
    for stage in Stage:
        own = [one.column for one in choices.all if one.stage == stage]
        _once(choices, own, weights.STAGE[stage])
    for move in choices.moves:
        change = program.amount(POINT * weights.CHANGE)
        program.implies([move], [change])
    to_close = program.amount(POINT * weights.CHANGE_LAST)
    program.implies([choices.moves[-1]], [to_close])
    _goals(choices)
    _variety(choices, season)
    _time(choices)
    _voice(choices)


def _once(choices: Choices, columns: Iterable[int], points: int) -> None:
    """Give `points` if at least one of these columns is chosen."""
    choices.program.implies([choices.program.amount(POINT * points)], columns)


def _beyond(choices: Choices, count: int, columns: Iterable[int], points: int) -> None:
    """Give `points`, which are negative, for each of these columns that is chosen beyond
    `count`."""
    more = choices.program.amount(POINT * points, high=len(choices.places))
    choices.program.at_least({more: 1} | dict.fromkeys(columns, -1), -count)


def _goals(choices: Choices) -> None:
    """Points for the goals of the music that follows: for items whose main goal is one of them, for
    more than one item, and for one near the end."""
    program, goals = choices.program, choices.request.goals
    for goal in goals:
        main = choices.of(lambda item, goal=goal: item.main_goal == goal)  # type: ignore[misc]
        also = [one.column for one in choices.all if goal in one.candidate.goals[1:]]
        first = program.amount(POINT * weights.MAIN_GOAL)  # worth more, so it is filled first
        second = program.amount(POINT * weights.MAIN_GOAL_AGAIN)
        program.implies([first, second], main)
        _once(choices, also, weights.ALSO_GOAL)
        if not choices.request.right_before:  # else there may be no such item at all
            again = program.amount(POINT * weights.GOAL_AGAIN, high=2)
            program.at_most({again: 1} | dict.fromkeys([*main, *also], -1), -1)
    late = {Stage.CLOSE, before_close(choices.places)}
    leading = [
        one.column for one in choices.all if one.stage in late and {*one.candidate.goals} & {*goals}
    ]
    _once(choices, leading, weights.LEADS_IN)
    if asks_for_calm(goals, choices.stock.vocabulary):
        lively = [one.column for one in choices.all if one.candidate.quick and one.item.impact > 1]
        _beyond(choices, 0, lively, weights.RESTLESS)


def _variety(choices: Choices, season: Season) -> None:
    """Points for each family of goals that is served, and against having the same goal, family or
    manner of sounding too often."""
    goals, wanted = choices.stock.vocabulary.goals, {*choices.request.goals}
    families = sorted({goal.family for goal in goals.values() if goal.family})
    for family in families:
        points = weights.FAMILY + (weights.FAMILY_RESTED if family in season.rested else 0)
        _once(choices, [one.column for one in choices.all if family in one.item.families], points)
        if family not in {goals[goal].family for goal in wanted}:
            main = [one.column for one in choices.all if goals[one.item.main_goal].family == family]
            _beyond(choices, 2, main, weights.SAME_FAMILY)
    for goal in sorted({one.item.main_goal for one in choices.all} - wanted):
        own = [one.column for one in choices.all if one.item.main_goal == goal]
        _beyond(choices, 1, own, weights.SAME_GOAL)
    for manner in sorted({one.candidate.sounding for one in choices.all}):
        own = [one.column for one in choices.all if one.candidate.sounding == manner]
        _beyond(choices, 1, own, weights.SAME_SOUNDING)


def _time(choices: Choices) -> None:
    """Points against time that is left over beyond a tenth, and against spending more than a
    quarter of it without the voice."""
    program, most = choices.program, longest(choices.request)
    left = program.amount(weights.LEFT_OVER, high=most)
    used = {one.column: one.item.length + BETWEEN for one in choices.all}
    program.at_least(used | {left: 1}, most * 9 // 10 - END + BETWEEN)
    silent = program.amount(weights.SILENT, high=most)
    terms = {one.column: one.item.length for one in choices.all if one.item.impact == 1}
    program.at_most(terms | {silent: -1}, most // 4)


def _voice(choices: Choices) -> None:
    """Points for an open line that the chorus knows before the close: whoever only hums comes to
    the music with closed mouths."""
    known = [
        one.column
        for one in choices.all
        if one.stage != Stage.CLOSE and not is_new(one.candidate) and is_open_line(one.item)
    ]
    _once(choices, known, weights.OPEN_LINE)
