"""How much goes into a warm-up, and how it runs out into the music.

All numbers are our choice on common practice: directors plan five to seven items for a quarter of
an hour, because more of them feel rushed however short they are.
"""

from __future__ import annotations

from chorus_handbook.warmups.suggesting.candidates import arrivals
from chorus_handbook.warmups.suggesting.choices import Choices
from chorus_handbook.warmups.suggesting.demands import in_parts_and_hard, is_quick
from chorus_handbook.warmups.suggesting.request import Request

#: How many items a warm-up of at most so many minutes has at most.
_MOST_ITEMS = ((6, 4), (10, 5), (12, 6), (15, 7), (22, 8), (30, 10), (90, 12))
#: Children need shorter items, and so more of them.
_MORE_FOR_CHILDREN = 2
#: After a break, fewer.
_FEWER_AFTER_BREAK = 1
#: Voices that come late need one to begin with.
_ONE_FOR_LATE = 1
#: How many items at least come between what is quick and slow music.
_SETTLE = 2


def most_items(request: Request, *, after_break: bool = False, late: bool = False) -> int:
    """How many items a warm-up has at most."""
    most = next(most for minutes, most in _MOST_ITEMS if request.minutes <= minutes)
    more = _MORE_FOR_CHILDREN if request.kind == "children" else 0
    more += _ONE_FOR_LATE if late else 0
    return most + more - (_FEWER_AFTER_BREAK if after_break else 0)


def add_pacing(choices: Choices) -> None:
    """No more items than there is calm for, never two hard items in parts in a row, and nothing
    quick right before slow music."""
    program, day = choices.program, choices.request.day.toordinal()
    after_break = choices.stock.after_break(day)
    late = any(True for _ in arrivals(choices.phases))
    most = most_items(choices.request, after_break=after_break, late=late)
    program.at_most({one.column: 1 for one in choices.all}, most)
    hard = [choices.at(place, in_parts_and_hard) for place in range(len(choices.places))]
    for second, columns in enumerate(hard):
        between: dict[int, int] = {}
        for first in reversed(range(second)):
            if columns and hard[first]:
                both = dict.fromkeys([*hard[first], *columns], 1)
                program.at_most(between | both, 1)
            between |= dict.fromkeys(choices.at(first), -1)
    wanted = choices.request.goals
    if wanted and not any(is_quick((goal,), choices.stock.vocabulary) for goal in wanted):
        for place in range(len(choices.places)):
            if quick := [one.column for one in choices.here[place] if one.candidate.quick]:
                later = {one.column: 1 for one in choices.all if one.place > place}
                program.at_least(later | dict.fromkeys(quick, -_SETTLE), 0)
