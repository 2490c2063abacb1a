"""The way of a voice through a warm-up: from half-closed sound through a hum that opens to open
vowels, and to swells last; and what tired voices are spared.

Source: common practice. By which goals these are told apart is our choice.
"""

from __future__ import annotations

from collections.abc import Callable

from chorus_handbook.warmups.suggesting.candidates import Candidate
from chorus_handbook.warmups.suggesting.choices import Choice, Choices
from chorus_handbook.warmups.suggesting.stages import Stage

#: The main goals of what opens from a hum, and of work on vowels.
_OPENS, _VOWELS = frozenset({"resonance", "easy-onset"}), "vowels"
#: The impact of light singing.
_LIGHT = 3


def step(candidate: Candidate) -> int:
    """How far the way has come with a candidate: 1 for a hum that opens, 2 for open vowels, 3 for a
    swell; 0 for all else, which may stand anywhere on it."""
    item = candidate.item
    if item.impact == 1 or item.lines > 1:
        return 0
    if candidate.swells:
        return 3
    if item.half_closed or item.impact != _LIGHT:
        return 0
    return 1 if item.main_goal in _OPENS else 2 if item.main_goal == _VOWELS else 0


def begins(candidate: Candidate) -> bool:
    """Whether a chorus can begin to sing with it."""
    return candidate.item.impact == 2 and not candidate.swells


def add_opening_up(choices: Choices) -> None:
    """Nothing on the way comes after a later step, and it begins with half-closed sound; the first
    item that needs a voice is gentle and no swell. After a break no step
    is left out on the way to open vowels. Of what there is none of, nothing is asked."""
    program = choices.program
    for further in (2, 3):
        seen: int | None = None
        for here in choices.here:
            back = [one.column for one in here if 0 < _on_the_way(one) < further]
            if seen is not None and back:
                program.at_most({seen: 1} | dict.fromkeys(back, 1), 1)
            now = program.amount()
            there = [one.column for one in here if _on_the_way(one) == further]
            program.implies(there, [now])
            if seen is not None:
                program.implies([seen], [now])
            seen = now
    _prepare(choices, lambda one: one.item.impact > 1, lambda one: begins(one.candidate))
    _prepare(choices, lambda one: _on_the_way(one) > 0, lambda one: one.item.half_closed)
    if choices.stock.after_break(choices.request.day.toordinal()):
        _prepare(choices, lambda one: _on_the_way(one) == 2, lambda one: _on_the_way(one) == 1)


def _prepare(
    choices: Choices, needing: Callable[[Choice], bool], preparing: Callable[[Choice], bool]
) -> None:
    """What is `needing` comes after something `preparing`, unless it is that itself or there is
    none to choose."""
    if not any(preparing(one) for one in choices.all):
        return
    before: list[int] = []
    for here in choices.here:
        if needs := [one.column for one in here if needing(one) and not preparing(one)]:
            choices.program.implies(needs, before)
        before += [one.column for one in here if preparing(one)]


def _on_the_way(one: Choice) -> int:
    return 0 if one.stage == Stage.CLOSE else step(one.candidate)
