"""What `handbook suggest` says: what was chosen and why, what is worth knowing of the evening, and
why there is no warm-up for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from chorus_handbook.commands.days import named_day
from chorus_handbook.commands.suggest_reasons import ReasonWords, if_sung
from chorus_handbook.pages.swap_words import reason_words as reason_phrase
from chorus_handbook.warmups.checks.length import LONGEST
from chorus_handbook.warmups.clock import timetable, total
from chorus_handbook.warmups.rotation import WEEK, status
from chorus_handbook.warmups.running_order import MINUTE, SECOND
from chorus_handbook.warmups.suggesting import (
    NothingRightError,
    Suggestion,
    conflict,
    shortest,
    suggest,
)
from chorus_handbook.warmups.suggesting.candidates import Stock, as_text, longest
from chorus_handbook.warmups.suggesting.demands import is_quiet
from chorus_handbook.warmups.suggesting.reasons import reasons_for
from chorus_handbook.warmups.suggesting.request import LONGEST as LONGEST_AT_ALL
from chorus_handbook.warmups.suggesting.request import Request
from chorus_handbook.warmups.swaps import Reason as SwapReason
from chorus_handbook.warmups.swaps import Swap, swaps
from chorus_handbook.warmups.tonight import Tonight

#: How many exercises to name that could stand in the place of another.
_MOST_SWAPS = 2
#: The reasons for a swap that come from the log, which says nothing of children: they are another
#: group.
_OF_THE_LOG = frozenset({"second", "third", "known", "rested"})
#: How many minutes more to try for a warm-up that begins gently.
_FURTHER_MINUTES = 8


def worth_knowing(request: Request, stock: Stock) -> Iterator[str]:
    """Sentences about what may surprise a director in a suggestion: what it concludes from the log,
    and what it leaves out."""
    day = request.day.toordinal()
    if stock.last is not None and stock.after_break(day):
        weeks = (day - stock.last) // WEEK
        yield (
            f"the last warm-up before it is {weeks} weeks earlier, so this one is low and slow, as "
            "after a break; if there are others between, write their files first."
        )
    if longest(request) < request.minutes * MINUTE:
        usual, most = LONGEST[request.kind] / MINUTE, longest(request) / MINUTE
        yield (
            f"{_an(request.kind)} warm-up usually takes {usual:g} minutes at most, so this one "
            f"takes {most:g} at most."
        )
    if request.left_out:
        yield (
            "it is not said which voices are there, so nothing in four parts is suggested for "
            "children; name the voices: --present soprano."
        )
    if request.kind == "concert" and not request.again:
        yield (
            "a concert's warm-up often has a second block right before the concert; say when it "
            "begins: --second-block 18:50."
        )


def _an(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"


def impossible(request: Request, stock: Stock) -> str:
    """The message that says why no warm-up meets the request."""
    conflicting = conflict(request, stock)
    if not conflicting:
        return (
            "the exercises of this handbook make no warm-up: one begins with an item for the body "
            "or the breath, or a gentle one (impact 2), and something is sung. Add such exercises: "
            "`handbook new`"
        )
    words = [one.words for one in conflicting]
    time = any("--minutes" in word for word in words)
    enough = shortest(request, stock) if time else None
    instead = f"; {enough} minutes are enough for it" if enough else ""
    if len(words) == 1:
        return (
            f"the exercises of this handbook make no warm-up that meets this: {words[0]}{instead}"
        )
    return (
        f"these wishes do not go together: {', '.join(words[:-1])} and {words[-1]}. Give up any "
        f"one of them, and there is a warm-up{instead}"
    )


def explanation(request: Request, suggestion: Suggestion, stock: Stock) -> Iterator[str]:
    """The lines that say what was chosen, and why."""
    order = suggestion.order
    yield f"Suggested for {named_day(request.day)}: {_time(suggestion, request)} minutes."
    tonight = Tonight(
        as_text(request, [one.candidate.written for one in suggestion.choices]),
        stock.numbers,
        stock.chorus,
        stock.vocabulary,
        stock.log,
    )
    slots, number = timetable(order.items), 0
    said = ReasonWords(stock.vocabulary)
    for block in suggestion.blocks:
        asked = request
        earlier = {item.slug for item in order.items[:number]}
        if number:
            yield f"Again at {request.again}, right before the concert:"
            asked = request.second_block() or request
        begins = slots[number].begins
        for place in range(len(block)):
            item = order.items[number]
            words = said.of_item(reasons_for(place, block, asked, stock, earlier))
            minute, second = divmod((slots[number].begins - begins) // SECOND, 60)
            yield f"{minute:3}:{second:02}  {item.title} ({item.slug}): {'; '.join(words)}."
            goal = stock.vocabulary.goals[item.main_goal].label
            if not item.keep and (instead := [*_swaps(tonight, number, goal, stock)]):
                yield f"        or {' or '.join(instead)}"
            number += 1
    yield from _by_the_way(request, suggestion, stock)
    if not _begins_gently(suggestion):
        yield _without_gentle_sound(request, stock)
    solution = suggestion.solution
    if solution.proven:
        yield "By the program's own measure, no other choice of exercises is better."
    else:
        yield (
            "By the program's own measure, another choice of exercises could be better by "
            f"{100 * solution.gap:.1f} % at most."
        )


def _begins_gently(suggestion: Suggestion) -> bool:
    """Whether the singing begins with quiet sound in one line that is not already the close."""
    first = next(one.item for one in suggestion.choices if one.item.impact > 1)
    return is_quiet(first) and len(first.parts) <= 1 and first.keep != "closer"


def _without_gentle_sound(request: Request, stock: Stock) -> str:
    """The line about a suggestion that does not begin gently: from how many minutes on one does."""
    low = int(request.minutes) + 1
    for minutes in range(low, min(low + _FURTHER_MINUTES, int(LONGEST_AT_ALL) + 1)):
        try:
            longer = suggest(replace(request, minutes=minutes), stock)
        except NothingRightError:
            continue
        if longer and _begins_gently(longer):
            return (
                f"Too short for gentle sound before the rest of the singing: {minutes} minutes are "
                "enough for that too."
            )
    return "There is no gentle sound before the rest of the singing; let everyone hum first."


def _by_the_way(request: Request, suggestion: Suggestion, stock: Stock) -> Iterator[str]:
    """A line for each goal of the music that no item is mainly for."""
    for goal in request.goals:
        if any(one.item.main_goal == goal for one in suggestion.choices):
            continue
        titles = dict.fromkeys(
            f'"{one.item.title}"' for one in suggestion.choices if goal in one.candidate.goals
        )
        label = stock.vocabulary.goals[goal].label
        yield f"Nothing is mainly for {label.lower()}; {_listed([*titles])} serves it by the way."


def _listed(titles: Sequence[str]) -> str:
    return titles[0] if len(titles) == 1 else f"each of {', '.join(titles[:-1])} and {titles[-1]}"


def _time(suggestion: Suggestion, request: Request) -> str:
    """How long the blocks of a suggestion take, and how long they may, such as "16 + 3 of 20"."""
    whole = round(total(suggestion.order.items) / MINUTE)
    if len(suggestion.blocks) == 1:
        return f"{whole} of {request.minutes:g}"
    first = round(total(suggestion.order.items[: len(suggestion.blocks[0])]) / MINUTE)
    return f"{first} + {whole - first} of {request.minutes:g}"


def _swaps(tonight: Tonight, place: int, goal: str, stock: Stock) -> Iterator[str]:
    """What could stand there instead, each with its strongest reasons. `goal` is the label of the
    item's main goal. A reason that is the same for the second is not told twice."""
    order = tonight.order(tonight.items)
    own = tonight.candidate(tonight.items[place], order.items[place].there)
    before: list[str] = []
    found = swaps(order, place, own, tonight.candidates(tonight.items, place))
    for swap in found[:_MOST_SWAPS]:
        keys = f" in {swap.keys}" if swap.keys else ""
        phrases = [
            _swap_phrase(swap, reason, goal, tonight, stock)
            for reason in swap.reasons
            if tonight.text.front.kind != "children" or reason.code not in _OF_THE_LOG
        ]
        new = [phrase for phrase in phrases if phrase not in before]
        same = ["likewise"] if len(new) < len(phrases) else []
        yield f"{swap.item.slug}{keys} ({'; '.join(same + new)})"
        before += phrases


def _swap_phrase(swap: Swap, reason: SwapReason, goal: str, tonight: Tonight, stock: Stock) -> str:
    """A reason for a swap as a phrase. If it holds only because of evenings that are planned, the
    phrase says so."""
    day = tonight.text.front.day.toordinal()
    days = stock.log.before(swap.item.slug, day)
    planned = tuple(one for one in days if one in stock.to_come)
    if planned and reason.code in ("second", "third"):
        return f"its {reason.code} time, {if_sung(planned)}"
    if reason.code == "known":
        logged = tuple(one for one in days if one not in stock.to_come)
        planned = () if status(logged, day) == "known" else planned
    elif reason.code != "rested":
        planned = ()
    return ", ".join(filter(None, (reason_phrase(reason, goal), if_sung(planned))))
