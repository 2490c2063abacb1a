"""Says why each item of a suggestion was chosen, for `handbook suggest` to print.

A reason is a code with a word or a number; `reason_words` makes a phrase of it. Reasons follow from
the same facts that `weights` gives points for, and those with the most points come first.
"""

from __future__ import annotations

from collections import Counter
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
from chorus_handbook.warmups.suggesting.worth import is_new, is_settling

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
    "only-family",
    "stage",
    "fewer-keys",
]
#: How many reasons are given for an item at most.
MOST = 3
_STAGES = {
    Stage.BODY: "wakes the body",
    Stage.BREATH: "wakes the breath",
    Stage.GENTLE: "quiet sound before fuller singing",
    Stage.LIGHT: "light singing once the voice is awake",
    Stage.REACH: "wide or quick singing, once the voice is warm",
    Stage.EARS: "listening, near the music",
    Stage.CLOSE: "brings everyone together at the end",
    Stage.WELCOME: "gentle, for the voices that have just come",
}
_TIMES = {2: "second", 3: "third"}


class Reason(NamedTuple):
    """Why an item was chosen. `word` is a goal, a family, a stage or a day; `number` a count."""

    code: Code
    word: str = ""
    number: int = 0


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
    yield from _from_rotation(candidate)
    if candidate.slug in request.keep:
        yield weights.KEPT + 1, Reason("asked")
    if item.keep:
        yield weights.KEPT, Reason("opener" if item.keep == "opener" else "closer")
    for goal in request.goals:
        if item.main_goal == goal:
            yield weights.MAIN_GOAL, Reason("goal", goal)
        elif goal in candidate.goals:
            yield weights.ALSO_GOAL, Reason("also-goal", goal)
    if request.tired and item.half_closed:
        yield weights.TIRED_HALF_CLOSED, Reason("half-closed")
    counts = Counter(family for other in choices for family in other.item.families)
    for family in sorted(item.families):
        if counts[family] == 1:
            yield weights.FAMILY, Reason("only-family", family)
    if not item.keep:
        moved = item.impact == 1 and one.stage > Stage.BREATH
        words = "lets everyone move in between" if moved else _STAGES[one.stage]
        yield weights.STAGE[one.stage] // 2, Reason("stage", words)
    if candidate.shortened:
        yield -weights.SHORTENED, Reason("fewer-keys")


def _from_rotation(candidate: Candidate) -> Iterator[tuple[int, Reason]]:
    """The reasons for how well the chorus knows a candidate, each with its points."""
    item = candidate.item
    if is_settling(candidate):
        planned = candidate.only_planned
        when = date.fromordinal(planned) if planned else None
        word = f"{when.day} {when:%B}" if when else ""
        yield weights.SETTLING, Reason("settling", word, candidate.outings + 1)
    elif is_new(candidate):
        yield weights.KEPT, Reason("new")
    elif item.status == "known" and not item.keep:
        yield weights.KNOWN, Reason("known", number=candidate.outings)
    elif item.status == "resting" and candidate.rested is not None:
        yield weights.KNOWN, Reason("rests", number=candidate.rested // WEEK)


def reason_words(reason: Reason, vocabulary: Vocabulary) -> str:
    """A reason as a phrase, such as "its second time"."""
    code, word, number = reason
    label = vocabulary.goals[word].label.lower() if word in vocabulary.goals else word
    after = f" (if it is sung on {word}, as planned)" if word else ""
    return {
        "asked": "you asked for it",
        "opener": "the season's opener",
        "closer": "the season's closer",
        "goal": f"mainly for {label}, which the music asks for",
        "also-goal": f"for {label} too",
        "settling": f"its {_TIMES.get(number, 'next')} time, so that it settles{after}",
        "new": "the one new item",
        "rests": f"not sung for {number} {'week' if number == 1 else 'weeks'}",
        "known": f"known: {number} times so far",
        "half-closed": "half-closed, so it spares tired voices",
        "only-family": f"the only one for {label}",
        "stage": label,
        "fewer-keys": "in fewer keys, to save time",
    }[code]
