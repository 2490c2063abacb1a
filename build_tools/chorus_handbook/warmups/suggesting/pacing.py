"""Adds the conditions of pace to the integer program: how many items a warm-up may have, and what
may not follow what.

The columns of the program are yes-or-no choices (`choices`). Source: common practice, by which
directors plan five to seven items for a quarter of an hour, because more of them feel rushed
however short they are; the numbers are our choice.
"""

from __future__ import annotations

from chorus_handbook.records.quickness import asks_for_calm
from chorus_handbook.warmups.suggesting.candidates import arrivals
from chorus_handbook.warmups.suggesting.choices import Choices
from chorus_handbook.warmups.suggesting.demands import in_parts_and_hard
from chorus_handbook.warmups.suggesting.request import Request

#: Pairs of minutes, and how many items a warm-up of at most that length may have.
_MOST_ITEMS = ((6, 4), (10, 5), (12, 6), (15, 7), (22, 8), (30, 10), (90, 12))
#: How many more items children have, because theirs must be shorter.
_MORE_FOR_CHILDREN = 2
#: How many fewer items there are after a break.
_FEWER_AFTER_BREAK = 1
#: How many more items there are if voices come late, which need one to begin with.
_ONE_FOR_LATE = 1
#: How many items at least follow a quick one if the music afterwards is not quick.
_SETTLE = 2


def most_items(request: Request, *, after_break: bool = False, late: bool = False) -> int:
    """How many items a warm-up may have. `after_break`: it is the first after a break. `late`: some
    voices come late."""
    most = next(most for minutes, most in _MOST_ITEMS if request.minutes <= minutes)
    more = _MORE_FOR_CHILDREN if request.kind == "children" else 0
    more += _ONE_FOR_LATE if late else 0
    return most + more - (_FEWER_AFTER_BREAK if after_break else 0)


def add_pacing(choices: Choices) -> None:
    """Add these conditions: no more than `most_items` items; no two items in a row that are hard
    and in parts; and, if none of the goals of the music that follows is a quick one, at least
    `_SETTLE` items after the last quick one."""
    program, day = choices.program, choices.request.day.toordinal()
    after_break = choices.stock.after_break(day)
    late = any(True for _ in arrivals(choices.phases))
    most = most_items(choices.request, after_break=after_break, late=late)
    program.at_most({one.column: 1 for one in choices.all}, most)
    # Places may stay empty, so two items follow each other if no place between them is filled. For
    # each two places: if both have a hard item, the sum of the two choices, 2, must be reduced
    # to 1 by the items between them, which count -1 each.
    hard = [choices.at(place, in_parts_and_hard) for place in range(len(choices.places))]
    for second, columns in enumerate(hard):
        between: dict[int, int] = {}
        for first in reversed(range(second)):
            if columns and hard[first]:
                both = dict.fromkeys([*hard[first], *columns], 1)
                program.at_most(between | both, 1)
            between |= dict.fromkeys(choices.at(first), -1)
    # A quick item counts -_SETTLE, so that at least as many items must stand in later places.
    if asks_for_calm(choices.request.goals, choices.stock.vocabulary):
        for place in range(len(choices.places)):
            if quick := [one.column for one in choices.here[place] if one.candidate.quick]:
                later = {one.column: 1 for one in choices.all if one.place > place}
                program.at_least(later | dict.fromkeys(quick, -_SETTLE), 0)
