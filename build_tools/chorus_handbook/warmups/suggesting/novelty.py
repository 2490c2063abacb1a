"""Adds to the integer program of a suggestion how much may be new, and where.

One item at most is new. It is neither the first nor the last, if that can be helped, it is not the
longest by far, and it leaves some time to spare, because teaching takes what it takes. Source:
common practice; the numbers are our choice.
"""

from __future__ import annotations

from chorus_handbook.warmups.running_order import MINUTE, SECOND
from chorus_handbook.warmups.suggesting import weights
from chorus_handbook.warmups.suggesting.choices import POINT, Choice, Choices
from chorus_handbook.warmups.suggesting.worth import is_new

#: How much time a warm-up with something new keeps to spare, in half-seconds.
SPARE = 30 * SECOND
#: By how much a new item may be longer than the longest other item, in half-seconds.
_LONGER = MINUTE


def add_novelty(choices: Choices) -> None:
    """Add these conditions: one new item at most, and none that is longer than all others by more
    than `_LONGER`, if there are others that long. A new item at either end loses points; one that
    is not new and is mainly for the first goal of the music wins some."""
    program = choices.program
    new = [one for one in choices.all if is_new(one.candidate)]
    program.at_most(dict.fromkeys((one.column for one in new), 1), 1)
    for length in sorted({one.item.length for one in new if _may_be_shorter(one, choices)}):
        as_long = [
            one.column
            for one in choices.all
            if one.item.length >= length - _LONGER and not is_new(one.candidate)
        ]
        if as_long:
            own = [
                one.column
                for one in new
                if one.item.length == length and _may_be_shorter(one, choices)
            ]
            program.implies(own, as_long)
    _between(choices)
    for goal in choices.request.goals[:1]:
        known = [
            one.column
            for one in choices.all
            if one.item.main_goal == goal and not is_new(one.candidate)
        ]
        program.implies([program.amount(POINT * weights.KNOWN_GROUND)], known)


def _may_be_shorter(one: Choice, choices: Choices) -> bool:
    """Whether there is a choice instead of a new item: it was not asked for, and it is not all
    there is for a goal of the music."""
    if one.candidate.slug in choices.request.keep:
        return False
    goal = one.item.main_goal
    return goal not in choices.request.goals or any(
        other.item.main_goal == goal and not is_new(other.candidate) for other in choices.all
    )


def _between(choices: Choices) -> None:
    """Points against a new item at the very beginning or the very end."""
    program = choices.program
    first = program.amount(POINT * weights.NEW_FIRST)
    last = program.amount(POINT * weights.NEW_LAST)
    for place, here in enumerate(choices.here):
        if not (new := [one.column for one in here if is_new(one.candidate)]):
            continue
        before = [one.column for one in choices.all if one.place < place]
        after = [one.column for one in choices.all if one.place > place]
        program.implies(new, [first, *before])
        program.implies(new, [last, *after])
