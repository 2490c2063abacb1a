"""Completes a suggestion once its exercises are chosen: which items are left out if time is short,
and after which item latecomers join in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from chorus_handbook.warmups.checks import findings
from chorus_handbook.warmups.checks.join_in import suits_latecomers
from chorus_handbook.warmups.clock import timetable
from chorus_handbook.warmups.running_order import MINUTE, PlannedItem, RunningOrder
from chorus_handbook.warmups.suggesting.choices import Choice
from chorus_handbook.warmups.suggesting.demands import sings
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.stages import Stage
from chorus_handbook.warmups.suggesting.worth import is_settling

#: Of this many items or more, one or two may be left out (our choice: of fewer, all are needed).
_ONE, _TWO = 5, 7
#: Latecomers join in after the second or the third item (common practice), if at least this many
#: items follow.
_JOIN_IN, _FOLLOWING = (2, 3), 2
#: A warm-up that is no longer than this, in half-seconds, has no item after which latecomers join
#: in.
_TOO_SHORT = 10 * MINUTE
#: The impact of quiet sound.
_QUIET = 2
#: Kinds of warm-ups to which people come late.
_WITH_LATECOMERS = ("weekly", "seated")


def cut_order(choices: Sequence[Choice], order: RunningOrder, request: Request) -> list[int]:
    """The places (from 0) of the items to leave out if time is short, in the order in which they
    are left out; none, one or two.

    They are the items with the fewest points, if the checks find nothing without them. These stay
    in any case: whatever begins in the first half, when nobody can know yet that time is short; the
    last item, what was asked for, the only item for body or breath, the only one for a goal of the
    music that follows or mainly for it, what the chorus sings for the second or third time, the
    item with which late voices begin, the quiet beginning, and half-closed items for tired voices.
    Source: common practice; a warm-up is shortened where there is enough.
    """
    joined = join_in(order)
    many = len(choices) - 1
    left = [*range(len(choices))]
    slots = timetable(order.items[: len(choices)])
    half = slots[-1].ends // 2
    cut: list[int] = []
    for _ in range((many + 1 >= _ONE) + (many + 1 >= _TWO)):
        spare = [
            place
            for place in left
            if 0 < place < many
            and slots[place].begins >= half
            and choices[place].candidate.slug not in request.keep
            and not _only_one([choices[other] for other in left], choices[place], request)
            and not is_settling(choices[place].candidate)
            and not (place == joined and order.arrivals)
            and not (request.tired and order.items[place].half_closed)
            and _still_good(order, left, [one for one in left if one != place])
        ]
        if not spare:
            break
        least = min(spare, key=lambda place: (choices[place].points, -place))
        cut.append(least)
        left.remove(least)
    return cut


def _only_one(left: Sequence[Choice], one: Choice, request: Request) -> bool:
    """Whether an item is the only one of those `left` that is for the body or the breath, that
    serves some goal of the music, or that is mainly for it before the close."""
    others = [other for other in left if other is not one]
    families = {family for other in others for family in other.item.families}
    goals = {goal for other in others for goal in other.candidate.goals}
    main = {other.item.main_goal for other in others if other.stage != Stage.CLOSE}
    return bool(
        (one.item.families & {"body", "breath"}) - families
        or {*one.candidate.goals} & {*request.goals} - goals
        or {one.item.main_goal} & {*request.goals} - main
    )


def _still_good(order: RunningOrder, before: Sequence[int], left: Sequence[int]) -> bool:
    """Whether the checks find nothing in the items at the places `left`, and their singing still
    begins quietly if that of the items at `before` did."""
    items, whole = ([order.items[place] for place in one] for one in (left, before))
    if _begins_quietly(whole) and not _begins_quietly(items):
        return False
    return not findings(replace(order, items=items))


def _begins_quietly(items: Sequence[PlannedItem]) -> bool:
    """Whether the first item that needs a voice is quiet."""
    return next((item.impact for item in items if item.impact > 1), 0) == _QUIET


def join_in(order: RunningOrder) -> int | None:
    """The number (from 1) of the item after which latecomers join in; None if no item suits. Where
    the request says that voices come late, it is the last item before one of them sings."""
    if order.arrivals:
        slots = timetable(order.items)
        return next(
            (
                place
                for place, (item, slot) in enumerate(zip(order.items, slots, strict=True))
                if any(
                    slot.begins >= comes and sings(voice, item)
                    for voice, comes in order.arrivals.items()
                )
            ),
            None,
        )
    brief = order.allowed is not None and order.allowed <= _TOO_SHORT
    if order.occasion not in _WITH_LATECOMERS or brief:
        return None
    for number in _JOIN_IN:
        if number + _FOLLOWING <= len(order.items) and suits_latecomers(order.items[number]):
            return number
    return None
