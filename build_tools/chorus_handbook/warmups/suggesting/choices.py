"""The choices of a suggestion: each says that one candidate stands in one place of the warm-up.

A choice is a column of the integer program, which is 1 if the choice is made and else 0. The places
and their stages (body, breath, gentle sound and so on) are those of `stages`. `conditions` and
`qualities` then add what the chosen ones must be together, and what makes them better.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from chorus_handbook.warmups.clock import BETWEEN
from chorus_handbook.warmups.running_order import MINUTE, SECOND, PlannedItem
from chorus_handbook.warmups.suggesting import weights
from chorus_handbook.warmups.suggesting.candidates import (
    Candidate,
    Phase,
    Stock,
    arrivals,
    longest,
)
from chorus_handbook.warmups.suggesting.evening import comfortable
from chorus_handbook.warmups.suggesting.program import Program
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.suggesting.stages import (
    Stage,
    kept_stage,
    places,
    reach_last,
    stages_of,
)
from chorus_handbook.warmups.suggesting.steps import may_stand_tired
from chorus_handbook.warmups.suggesting.worth import Season, is_new, worth_of

#: What a point of `weights` is worth in the program, which counts in half-seconds of used time.
POINT = weights.SECONDS_A_POINT * SECOND

#: Says whether an item is of some kind; any value that is true means yes.
Suits = Callable[[PlannedItem], object]


@dataclass(frozen=True, slots=True)
class Choice:
    """One yes-or-no choice of the integer program: whether a candidate stands in a certain place
    (from 0) of the warm-up. The place belongs to a stage. `column` is the number of the choice in
    the program, `points` what the candidate is worth there, whatever else is chosen."""

    column: int
    candidate: Candidate
    place: int
    stage: Stage
    points: int = 0

    @property
    def item(self) -> PlannedItem:
        return self.candidate.item


@dataclass(slots=True)
class Choices:
    """All choices of a suggestion, and the program to which they belong.

    places: the stage of each place, in order. `all`: the choices of all places. `here`: the choices
        of each place. `moves`: for each place, the column that is 1 if the formation changes before
        it.
    """

    request: Request
    stock: Stock
    phases: Sequence[Phase]
    places: Sequence[Stage]
    program: Program = field(default_factory=Program)
    all: list[Choice] = field(default_factory=list)
    here: list[list[Choice]] = field(default_factory=list)
    moves: list[int] = field(default_factory=list)

    def at(self, place: int, suits: Suits = bool) -> list[int]:
        """The columns of those choices in a place for whose item `suits` is true."""
        return [one.column for one in self.here[place] if suits(one.item)]

    def of(self, suits: Suits) -> list[int]:
        """The columns of those choices, in any place, for whose item `suits` is true."""
        return [one.column for one in self.all if suits(one.item)]

    def only_after(self, needing: Suits, preparing: Suits) -> None:
        """Add the condition that an item for which `needing` is true comes only after one for which
        `preparing` is."""
        if not any(needing(one.item) for one in self.all):
            return
        before = self.program.amount(high=0)
        for place in range(len(self.places)):
            if columns := self.at(place, needing):
                self.program.implies(columns, [before])
            after = self.program.amount()  # 1 only if some place up to here prepares
            self.program.implies([after], [before, *self.at(place, preparing)])
            before = after

    @property
    def ranges(self) -> Mapping[str, tuple[int, int]]:
        """The comfortable range of each voice, as MIDI numbers."""
        return comfortable(self.stock.chorus)


def choices_for(
    request: Request,
    stock: Stock,
    candidates: Iterable[Candidate],
    phases: Sequence[Phase],
    season: Season,
) -> Choices:
    """A choice for each candidate in each place whose stage suits it, with what it is worth
    there."""
    minutes = min(request.minutes, longest(request) / MINUTE)
    last = reach_last(request, stock.vocabulary)
    last_arrival = max((number for _, number in arrivals(phases)), default=0)
    stages = places(minutes, reach_last=last, late=last_arrival > 0)
    choices = Choices(request, stock, phases, stages)
    choices.here = [[] for _ in choices.places]
    for candidate in candidates:
        suits = stages_of(candidate, stock.vocabulary, request.kind)
        for place, stage in enumerate(choices.places):
            welcoming = stage == Stage.WELCOME and candidate.welcomes and not candidate.item.keep
            opens = kept_stage(candidate.item) == Stage.BODY
            if request.tired and stage != Stage.CLOSE and not may_stand_tired(candidate):
                continue
            if welcoming or (stage in suits and (place == 0 or not opens)):
                second = place > 0 and choices.places[place - 1] == stage
                points = worth_of(candidate, stage, request, season)
                if second and stage <= Stage.BREATH:
                    points += weights.STAGE_AGAIN
                if candidate.phase < last_arrival:
                    points += weights.NEW_TO_SOME if is_new(candidate) else 0
                    points += weights.PARTS_WITHOUT if candidate.item.lines > 1 else 0
                # Time that is used is worth something by itself.
                column = choices.program.choice(POINT * points + candidate.item.length + BETWEEN)
                one = Choice(column, candidate, place, stage, points)
                choices.all.append(one)
                choices.here[place].append(one)
    return choices
