"""Says why each item of a suggestion was chosen, for `handbook suggest` to print.

A reason is a code with a word or a number; `reason_words` makes a phrase of it. Reasons follow from
the same facts that `weights` gives points for, and those with the most points come first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Literal, NamedTuple

from chorus_handbook.chorus.model import Vocabulary
from chorus_handbook.warmups.rotation import WEEK
from chorus_handbook.warmups.suggesting import weights
from chorus_handbook.warmups.suggesting.candidates import Candidate
from chorus_handbook.warmups.suggesting.choices import Choice
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.stages import Stage
from chorus_handbook.warmups.suggesting.worth import is_new, is_settling, was_learned

Code = Literal[
    "asked",
    "opener",
    "closer",
    "goal",
    "also-goal",
    "settling",
    "new",
    "rests",
    "known",
    "half-closed",
    "leads-in",
    "stage",
    "fewer-keys",
]
#: How many reasons are given for an item at most.
MOST = 2
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
_TIMES = {2: "second", 3: "third"}


class Reason(NamedTuple):
    """Why an item was chosen. What the other fields hold depends on the code; `reason_words` makes
    a phrase of them. `word`: a goal, a day, or what an item does in its place; `goal`: the goal
    that is filled into `word` where it says {goal}; `number`: a count of weeks or times."""

    code: Code
    word: str = ""
    number: int = 0
    goal: str = ""


def reasons_for(place: int, choices: Sequence[Choice], request: Request) -> list[Reason]:
    """The reasons for the item at `place` (from 0), those with the most points first, `MOST` at
    most. `choices` are all choices of the suggestion, in order."""
    found = sorted(_reasons(place, choices, request), key=lambda one: -one[0])
    return [reason for _, reason in found][:MOST]


def _reasons(
    place: int, choices: Sequence[Choice], request: Request
) -> Iterator[tuple[int, Reason]]:
    """All reasons that are true of the item at `place`, each with its points."""
    one = choices[place]
    candidate, item = one.candidate, one.item
    rested = [other.candidate.rested for other in choices if other.candidate.rested is not None]
    yield from _from_rotation(candidate, min(rested, default=0))
    if candidate.slug in request.keep:
        yield weights.KEPT + 1, Reason("asked")
    if item.keep:
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


def _from_rotation(candidate: Candidate, rested: int) -> Iterator[tuple[int, Reason]]:
    """The reasons for how well the chorus knows a candidate, each with its points. `rested` is for
    how many days every item of the warm-up has rested: that is no reason for any one of them."""
    item = candidate.item
    if is_settling(candidate):
        planned = candidate.only_planned
        when = date.fromordinal(planned) if planned else None
        word = f"{when.day} {when:%B}" if when else ""
        yield weights.SETTLING, Reason("settling", word, candidate.outings + 1)
    elif is_new(candidate):
        yield weights.KEPT, Reason("new")
    elif item.status == "known" and not item.keep:
        yield weights.KNOWN // 2, Reason("known", number=candidate.outings)
    elif item.status == "resting" and (candidate.rested or 0) > rested:
        learned = "learned" if was_learned(candidate) else ""
        yield weights.KNOWN, Reason("rests", learned, (candidate.rested or 0) // WEEK)


def reason_words(reason: Reason, vocabulary: Vocabulary) -> str:
    """A reason as a phrase, such as "its second time"."""
    code, word, number, goal = reason
    label = vocabulary.goals[word].label.lower() if word in vocabulary.goals else word
    named = vocabulary.goals[goal].label.lower() if goal in vocabulary.goals else goal
    after = f" (if it is sung on {word}, as planned)" if word else ""
    weeks = f"{number} {'week' if number == 1 else 'weeks'}"
    return {
        "asked": "you asked for it",
        "opener": "the season's opener",
        "closer": "the season's closer",
        "goal": f"mainly for {label}, which the music asks for",
        "also-goal": f"also for {label}, which the music asks for",
        "leads-in": f"for {label}, straight into the music",
        "settling": f"its {_TIMES.get(number, 'next')} time, so that it settles{after}",
        "new": "the one new item",
        "rests": f"not sung for {weeks}{', but learned before' if word else ''}",
        "known": f"needs no teaching: sung {number} times",
        "half-closed": "half-closed, so it spares tired voices",
        "stage": word.replace("{goal}", named),
        "fewer-keys": f"in fewer keys, to save {'voices' if word == 'concert' else 'time'}",
    }[code]
