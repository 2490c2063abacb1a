"""The stages of a warm-up, and which exercises belong to each.

A warm-up goes from body and breath through quiet sound to full singing, from one line to harmony,
and ends by bringing the chorus together. Source: common practice. A suggestion has some places in
each stage, which may stay empty; because the stages are in order, the warm-up builds up whatever is
chosen. Which exercises belong to several stages, and how many places there are, is our choice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import IntEnum

from chorus_handbook.chorus.model import Family, Vocabulary
from chorus_handbook.entries.warm_up import Occasion
from chorus_handbook.warmups.running_order import PlannedItem
from chorus_handbook.warmups.suggesting.candidates import Candidate
from chorus_handbook.warmups.suggesting.demands import HARD
from chorus_handbook.warmups.suggesting.request import Request


class Stage(IntEnum):
    """The stages that a suggested warm-up goes through, in the order in which they come."""

    BODY = 0
    BREATH = 1
    GENTLE = 2
    LIGHT = 3
    REACH = 4
    EARS = 5
    CLOSE = 6
    #: Something gentle for voices that come late; its places are between those of the other stages.
    WELCOME = 7


#: Pairs of minutes, and how many places each stage has in a warm-up of at most that length.
_PLACES = (
    (6, (1, 1, 1, 2, 0, 1, 1)),
    (10, (1, 1, 2, 2, 1, 1, 1)),
    (16, (2, 1, 2, 2, 1, 2, 1)),
    (22, (2, 1, 2, 3, 2, 2, 1)),
    (90, (2, 2, 3, 4, 3, 3, 1)),
)
#: The goals of a good last item. Source: common practice.
_CLOSING_GOALS = frozenset({"blend", "tuning", "harmony", "together", "expression"})
#: The highest impact of an opener and of a closer that are kept.
_OPENER_IMPACT, _CLOSER_IMPACT = 2, 3
#: The widest span of light singing before the stage for wide and quick singing, in semitones.
_LIGHT_SPAN = 12


def places(minutes: float, *, reach_last: bool, late: bool = False) -> list[Stage]:
    """The stage of each place of a warm-up, in order. `minutes` is its length. With `reach_last`,
    harmony comes before wide and quick singing, because that is what the music afterwards asks for.
    With `late`, voices come late, so there is a further place of the stage WELCOME before every
    place of the stage LIGHT and before the first place of every stage after it, but never at the
    very beginning."""
    counts = next(counts for most, counts in _PLACES if minutes <= most)
    order = [*Stage][: Stage.WELCOME]
    if reach_last:
        order[Stage.REACH], order[Stage.EARS] = Stage.EARS, Stage.REACH
    found = [stage for stage in order for _ in range(counts[stage])]
    if late:
        for place in reversed(range(1, len(found))):
            before, stage = found[place - 1], found[place]
            if stage >= Stage.LIGHT and (stage != before or stage == Stage.LIGHT):
                found.insert(place, Stage.WELCOME)
    return found


def before_close(places: Sequence[Stage]) -> Stage:
    """The last stage before the close."""
    return next(stage for stage in reversed(places) if stage < Stage.CLOSE)


def reach_last(request: Request, vocabulary: Vocabulary) -> bool:
    """Whether all goals of the music that follows are for wide or quick singing."""
    families = {vocabulary.goals[goal].family for goal in request.goals}
    return families == {"reach"}


def stages_of(candidate: Candidate, vocabulary: Vocabulary, kind: Occasion) -> frozenset[Stage]:
    """The stages to which a candidate belongs in a warm-up of this kind; an empty set if it suits
    none of them."""
    item = candidate.item
    if (kept := kept_stage(item)) is not None:
        return frozenset({kept})
    goal = vocabulary.goals.get(item.main_goal)
    family = goal.family if goal else None
    if item.impact == 1:
        return frozenset(_silent(item, family, kind))
    # in pairs nobody hears everyone, as they should at the close
    stages = frozenset(_sung(item, family, candidate.moment))
    return stages - {Stage.CLOSE} if candidate.paired else stages


def kept_stage(item: PlannedItem) -> Stage | None:
    """Where the season's opener or closer stands; None for other items, for an opener that is not
    gentle, and for a closer in which nobody sings (our choice: a signal to begin with is easy, and
    a chorus ends by sounding together)."""
    if item.keep == "opener" and item.impact <= _OPENER_IMPACT:
        return Stage.BODY
    return Stage.CLOSE if item.keep == "closer" and 1 < item.impact <= _CLOSER_IMPACT else None


def _silent(item: PlannedItem, family: Family | None, kind: Occasion) -> Iterator[Stage]:
    """The stages of an item that needs no voice."""
    if item.active and kind == "children":  # children move and are still by turns
        yield from {*Stage} - {Stage.CLOSE}
    elif family == "breath":
        yield Stage.BREATH
    elif "body" in item.families:
        yield Stage.BODY
    else:
        yield from (Stage.BODY, Stage.BREATH, Stage.GENTLE)


def _sung(item: PlannedItem, family: Family | None, moment: str) -> Iterator[Stage]:
    """The stages of an item that needs a voice."""
    if moment == "closing":  # what is meant for the end stands nowhere else
        if item.unites:
            yield Stage.CLOSE
        return
    one_line = item.lines <= 1
    if item.impact == 2 and one_line:
        yield Stage.GENTLE
        if family == "breath":
            yield Stage.BREATH
    wide = item.span > _LIGHT_SPAN or (family == "reach" and item.impact == 3)
    if item.impact <= 3 and one_line and not wide:
        yield Stage.LIGHT
    if item.impact >= 4 or (family == "reach" and item.impact == 3):
        yield Stage.REACH
    if (family == "ears" and (moment != "opening" or not one_line)) or (
        not one_line and family != "reach"
    ):
        yield Stage.EARS
    closes = item.main_goal in _CLOSING_GOALS and moment != "opening" and item.level < HARD
    if item.impact <= _CLOSER_IMPACT and item.unites and closes:
        yield Stage.CLOSE
