"""What a suggested warm-up must be, written as conditions of the integer program.

They exclude everything to which `checks` would object, and give the warm-up its shape. Each
function below adds one group of them. A condition limits a sum over columns: a column is 1 if the
item it stands for is chosen, else 0. Times are in half-seconds.
"""

from __future__ import annotations

from collections import defaultdict

from chorus_handbook.warmups.checks.body import PREPARED_IMPACT
from chorus_handbook.warmups.checks.harmony import IMPACT, LINES
from chorus_handbook.warmups.checks.leaps import FIFTH
from chorus_handbook.warmups.checks.leaps import NEEDED as NEEDED_FOR_LEAPS
from chorus_handbook.warmups.checks.occasion import FIRST_BLOCK_SINGING, LATER_BLOCK_SINGING
from chorus_handbook.warmups.checks.stillness import MOST_STILL
from chorus_handbook.warmups.checks.strong import NEEDED, NEEDED_IF_STRONG, NEEDED_IN_SHORT
from chorus_handbook.warmups.clock import BETWEEN, CHANGE, END
from chorus_handbook.warmups.running_order import PlannedItem
from chorus_handbook.warmups.suggesting.candidates import Candidate, longest
from chorus_handbook.warmups.suggesting.choices import Choices
from chorus_handbook.warmups.suggesting.closing import add_closing
from chorus_handbook.warmups.suggesting.demands import GENTLE_IMPACT
from chorus_handbook.warmups.suggesting.extremes import notes_needed, notes_sung
from chorus_handbook.warmups.suggesting.formations import add_formations
from chorus_handbook.warmups.suggesting.late_voices import add_arrivals
from chorus_handbook.warmups.suggesting.novelty import SPARE, add_novelty
from chorus_handbook.warmups.suggesting.opening_up import add_opening_up
from chorus_handbook.warmups.suggesting.pacing import add_pacing
from chorus_handbook.warmups.suggesting.steps import step
from chorus_handbook.warmups.suggesting.worth import is_new

#: The kinds of warm-ups that need no item for body and breath, as `checks/body.py` has it.
_WITHOUT_BODY = ("short", "online")
#: More than `_demand` returns for any item.
_MOST_DEMAND = 1200
#: The demand of the three steps of `opening_up` (a hum that opens, open vowels, a swell): more than
#: that of impact 2 and less than that of impact 4.
_ON_THE_WAY = (600, 630, 760)
#: Added to the demand of quiet sound that is not half-closed: more than any line and span add.
_OPENED = 60
#: Added to that of half-closed sound for the breath, such as a trill: the air flows before a hum
#: settles. It is more than any span takes away.
_FLOWS = -60


def add_conditions(choices: Choices) -> None:
    """Add all conditions to the program of `choices`, and its columns for changes of formation."""
    _shape(choices)
    add_pacing(choices)
    add_opening_up(choices)
    add_formations(choices)
    _time(choices)
    _phases(choices)
    _effort(choices)
    _preparation(choices)
    add_arrivals(choices)
    add_novelty(choices)
    add_closing(choices)
    if choices.request.kind == "concert":
        singing = {one.column: one.item.singing for one in choices.all}
        most = LATER_BLOCK_SINGING if choices.request.right_before else FIRST_BLOCK_SINGING
        choices.program.at_most(singing, most)
    if choices.request.kind == "children":
        _children(choices)


def _shape(choices: Choices) -> None:
    """At most one item in each place, each exercise once, and something to sing; all
    exercises and goals that are asked for. Within a stage the places are filled from the first on,
    and each item there asks at least as much as the one before."""
    program, request = choices.program, choices.request
    for place in range(len(choices.places)):
        program.at_most(dict.fromkeys(choices.at(place), 1), 1)
        if place and choices.places[place] == choices.places[place - 1]:
            program.implies(choices.at(place), choices.at(place - 1))
            if request.kind != "children":  # children move and are still by turns
                # the item before may ask no more than this one, if there is one here
                terms = {one.column: _demand(one.candidate) for one in choices.here[place - 1]}
                for one in choices.here[place]:
                    terms[one.column] = _MOST_DEMAND - _demand(one.candidate)
                program.at_most(terms, _MOST_DEMAND)
    slugs: dict[str, list[int]] = defaultdict(list)
    for one in choices.all:
        slugs[one.candidate.slug].append(one.column)
    for columns in slugs.values():
        program.at_most(dict.fromkeys(columns, 1), 1)
    for slug in request.keep:
        program.at_least(dict.fromkeys(slugs.get(slug, []), 1), 1)
    for goal in () if request.right_before else request.goals:
        serving = [one.column for one in choices.all if goal in one.candidate.goals]
        program.at_least(dict.fromkeys(serving, 1), 1)
    program.at_least(dict.fromkeys(choices.of(lambda item: item.impact > 1), 1), 1)


def _demand(candidate: Candidate) -> int:
    """How much an item asks of the singers: a number by which the items of a stage are ordered. Its
    impact counts most, then the number of lines that move, then its span; quiet sound in one line
    asks least if it lets the breath flow, and more if it is not half-closed. An item that is a step
    of `opening_up` is ordered by that step and its span instead."""
    item = candidate.item
    span = min(item.span, 29)
    if on_the_way := step(candidate):
        return _ON_THE_WAY[on_the_way - 1] + span
    quiet = item.impact == GENTLE_IMPACT and item.lines <= 1
    order = 0 if not quiet else _FLOWS if candidate.flows else 0 if item.half_closed else _OPENED
    return 200 * item.impact + 30 * min(item.lines, 4) + span + order


def _time(choices: Choices) -> None:
    """All items, the time between them, changes of formation, and some time to spare if something
    is new, fit into the time allowed."""
    terms = {one.column: one.item.length + BETWEEN for one in choices.all}
    for one in choices.all:
        terms[one.column] += SPARE if is_new(one.candidate) else 0
    terms |= dict.fromkeys(choices.moves, CHANGE - BETWEEN)
    choices.program.at_most(terms, longest(choices.request) - END + BETWEEN)


def _phases(choices: Choices) -> None:
    """Where voices come late or leave, each item begins in the phase for which it is planned.
    `begins` is when an item in the place begins, as a sum over the items before it."""
    phases, far = choices.phases, longest(choices.request)
    if len(phases) < 2:
        return
    begins: dict[int, int] = {}
    for here, move in zip(choices.here, choices.moves, strict=True):
        begins[move] = CHANGE - BETWEEN
        for number, phase in enumerate(phases):
            own = [one.column for one in here if one.candidate.phase == number]
            if number:
                choices.program.at_least(begins | dict.fromkeys(own, -phase.begins), 0)
            if number + 1 < len(phases):
                last = phases[number + 1].begins - 1
                choices.program.at_most(begins | dict.fromkeys(own, far), last + far)
        begins |= {one.column: one.item.length + BETWEEN for one in here}


def _effort(choices: Choices) -> None:
    """Enough has been sung before strong singing and before wide leaps, and strong singing is not
    last. `sung` is for how long has been sung before a place, or less."""
    program, kind, most = choices.program, choices.request.kind, longest(choices.request)
    sung = program.amount(high=0)
    for place, here in enumerate(choices.here):
        needs = {one.column: -need for one in here if (need := _singing_needed(one.item, kind))}
        if needs:
            program.at_least({sung: 1} | needs, 0)
        after = program.amount(high=most)
        singing = {one.column: -one.item.singing for one in here}
        program.at_most({after: 1, sung: -1} | singing, 0)
        sung = after
        if strong := choices.at(place, _not_last):
            later = [one.column for one in choices.all if one.place > place]
            program.implies(strong, later)


def _singing_needed(item: PlannedItem, kind: str) -> int:
    """For how long must have been sung before an item, in half-seconds; 0 if it needs nothing.
    Strong singing needs this however late it comes, which is stricter than `checks` (our
    choice)."""
    if item.impact == 5:
        return NEEDED_IF_STRONG
    if item.impact == 4:
        return NEEDED_IN_SHORT if kind == "short" else NEEDED
    leaps = item.leap > FIFTH and not item.half_closed and not item.is_round
    return NEEDED_FOR_LEAPS if item.impact == 3 and leaps else 0


def _not_last(item: PlannedItem) -> bool:
    """Whether an item may not be the last: it is strong and does not bring the chorus together."""
    return item.impact == 5 or (item.impact == 4 and not item.unites)


def _preparation(choices: Choices) -> None:
    """Some items come only after others that prepare them: harmony after unison, fuller singing
    after body or breath, what is hard to learn after any item, and notes beyond a comfortable range
    after notes that lead up to them."""
    choices.only_after(
        lambda item: item.lines >= LINES and item.impact >= IMPACT and not item.unison,
        lambda item: item.unison,
    )
    families = any(goal.family for goal in choices.stock.vocabulary.goals.values())
    if families and choices.request.kind not in _WITHOUT_BODY:
        choices.only_after(
            lambda item: item.impact >= PREPARED_IMPACT and not _for_body(item), _for_body
        )
    choices.only_after(lambda item: item.level == 3 and item.status != "known", lambda _: True)
    needed = {one.column: notes_needed(one.item, choices.ranges) for one in choices.all}
    by_item = {id(one.item): needed[one.column] for one in choices.all}
    for note in sorted({note for notes in needed.values() for note in notes}):
        choices.only_after(
            lambda item, note=note: note in by_item[id(item)],  # type: ignore[misc]
            lambda item, note=note: notes_sung(item, note),  # type: ignore[misc]
        )


def _for_body(item: PlannedItem) -> bool:
    """Whether an item prepares body or breath, or needs no voice."""
    return item.impact == 1 or bool({"body", "breath"} & item.families)


def _children(choices: Choices) -> None:
    """For children: if there are tunes, one of them at least begins from above, and no more than
    two items in a row are still. `now` is how many items in a row are still up to a place, or
    more."""
    program = choices.program
    tunes = dict.fromkeys(choices.of(lambda item: item.span), 1)
    for column in choices.of(lambda item: item.span and item.from_above):
        tunes[column] -= len(choices.places)
    program.at_most(tunes, 0)
    still: int | None = None
    for place, here in enumerate(choices.here):
        now = program.amount(high=MOST_STILL)
        terms = {now: 1, choices.moves[place]: MOST_STILL + 1}
        terms |= {one.column: MOST_STILL + 1 if one.item.active else -1 for one in here}
        program.at_least(terms if still is None else terms | {still: -1}, 0)
        still = now
