"""Finds why each item of a suggestion was chosen, for `handbook suggest` to say
(`commands/suggest_reasons.py`).

A reason is a code with a word or a number. Reasons follow from the same facts that `weights` gives
points for, and those with the most points come first. Whatever a reason says of the log is counted
in the log; where evenings that are only planned decide, the reason names them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Literal, NamedTuple

from chorus_handbook.warmups.rotation import OFTEN, WEEK, status
from chorus_handbook.warmups.suggesting import weights
from chorus_handbook.warmups.suggesting.candidates import Candidate, Stock
from chorus_handbook.warmups.suggesting.choices import Choice
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.stages import Stage
from chorus_handbook.warmups.suggesting.worth import is_new, is_settling, was_learned

Code = Literal[
    "asked",
    "opener",
    "closer",
    "again",
    "goal",
    "also-goal",
    "settling",
    "new",
    "rests",
    "learned",
    "known",
    "half-closed",
    "leads-in",
    "stage",
    "fewer-keys",
]
_FULLER = ", before fuller singing"
#: What an item does in its stage. Where `{goal}` stands, the item's main goal is named, unless
#: another reason names it.
_STAGES = {
    Stage.BODY: "wakes the body",
    Stage.BREATH: "wakes the breath",
    Stage.GENTLE: f"quiet sound for {{goal}}{_FULLER}",
    Stage.LIGHT: "light singing for {goal}, now that the voice is awake",
    Stage.REACH: "for {goal}, now that the voice is warm",
    Stage.EARS: "for {goal}, with time to listen before the music",
    Stage.CLOSE: "brings everyone together at the end",
    Stage.WELCOME: "gentle, for the voices that have just come",
}
_FULL = "full singing for {goal}, now that the voice is warm"
_MOVES = "lets everyone move in between"
_GOAL = "for {goal}"
#: The impact of quiet sound, and that of full singing.
QUIET, FULL = 2, 4


class Reason(NamedTuple):
    """Why an item was chosen. What the other fields hold depends on the code; `ReasonWords` makes a
    phrase of them. `word`: a goal, an occasion, or what an item does in its place; `goal`: the goal
    that is filled into `word` where it says {goal}; `number`: a count of weeks or times; `planned`:
    the days still to come on which the exercise must be sung, as planned, for the reason to be
    true, as `date.toordinal` counts."""

    code: Code
    word: str = ""
    number: int = 0
    goal: str = ""
    planned: tuple[int, ...] = ()


def reasons_for(
    place: int,
    choices: Sequence[Choice],
    request: Request,
    stock: Stock,
    earlier: Collection[str] = (),
) -> list[Reason]:
    """All reasons for the item at `place` (from 0), those with the most points first. `choices` are
    all choices of a block, in order; `earlier` are the slugs of the exercises in the block before
    it."""
    found = sorted(_reasons(place, choices, request, stock, earlier), key=lambda one: -one[0])
    return [reason for _, reason in found]


def _reasons(
    place: int,
    choices: Sequence[Choice],
    request: Request,
    stock: Stock,
    earlier: Collection[str],
) -> Iterator[tuple[int, Reason]]:
    """All reasons that are true of the item at `place`, each with its points."""
    one = choices[place]
    candidate, item = one.candidate, one.item
    rested = [other.candidate.rested for other in choices if other.candidate.rested is not None]
    if request.kind != "children":  # another group, of which the log says nothing
        yield from _from_rotation(candidate, min(rested, default=0), request, stock)
    if candidate.slug in request.keep:
        yield weights.KEPT + 1, Reason("asked")
    if candidate.slug in earlier:
        yield weights.KEPT + 1, Reason("again", item.keep or "")
    elif item.keep:
        yield weights.KEPT, Reason("opener" if item.keep == "opener" else "closer")
    last = place == len(choices) - 1
    for goal in request.goals:
        if last and goal in candidate.goals:
            yield weights.MAIN_GOAL, Reason("leads-in", goal)
            break
        if item.main_goal == goal:
            yield weights.MAIN_GOAL, Reason("goal", goal)
        elif goal in candidate.goals:
            yield weights.ALSO_GOAL, Reason("also-goal", goal)
    if request.tired and item.half_closed:
        yield weights.TIRED_HALF_CLOSED, Reason("half-closed")
    if not item.keep:
        fuller = any(other.item.impact > QUIET for other in choices[place:])
        yield weights.STAGE[one.stage] // 2 + 1, _in_its_place(one, request, fuller=fuller)
    if candidate.shortened:
        yield -weights.SHORTENED, Reason("fewer-keys", request.kind)


def _in_its_place(one: Choice, request: Request, *, fuller: bool) -> Reason:
    """What an item does where it stands. `fuller`: whether fuller singing follows."""
    item, stage = one.item, one.stage
    words = _STAGES[stage]
    if item.impact == 1 and stage > Stage.BREATH:
        words = _MOVES
    elif item.half_closed and stage == Stage.LIGHT:
        words = _STAGES[Stage.GENTLE]
    elif item.impact >= FULL and stage == Stage.REACH:
        words = _FULL
    if not fuller:
        words = words.removesuffix(_FULLER)
    if item.main_goal in request.goals:  # another reason names it
        words = words.replace(f" {_GOAL}", "").removeprefix(f"{_GOAL}, ")
    return Reason("stage", words, goal=item.main_goal)


def _from_rotation(
    candidate: Candidate, rested: int, request: Request, stock: Stock
) -> Iterator[tuple[int, Reason]]:
    """The reasons for how well the chorus knows a candidate, each with its points. `rested` is for
    how many days every item of the warm-up has rested: that is no reason for any one of them."""
    item, day = candidate.item, request.day.toordinal()
    days = stock.log.before(candidate.slug, day)
    planned = tuple(one for one in days if one in stock.to_come)
    logged = tuple(one for one in days if one not in stock.to_come)
    if is_settling(candidate):
        yield weights.SETTLING, Reason("settling", number=len(days) + 1, planned=planned)
    elif is_new(candidate):
        yield weights.KEPT, Reason("new")
    elif item.status == "known" and not item.keep:
        needed = () if status(logged, day) == "known" else planned
        yield weights.KNOWN // 2, Reason("known", number=len(logged), planned=needed)
    elif item.status == "resting" and (candidate.rested or 0) > rested:
        weeks = (candidate.rested or 0) // WEEK
        learned = was_learned(candidate)
        needed = planned if learned and len(logged) < OFTEN else planned[-1:]
        yield weights.KNOWN, Reason("learned" if learned else "rests", "", weeks, "", needed)
