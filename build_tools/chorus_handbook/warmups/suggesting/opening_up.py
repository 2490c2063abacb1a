"""Adds conditions to the integer program of a suggestion by which a voice opens up step by step:
half-closed sound comes first, then a hum that opens (step 1), open vowels (step 2), and swells last
(step 3).

Source: common practice. `steps` says which exercise is which.
"""

from __future__ import annotations

from collections.abc import Callable

from chorus_handbook.warmups.suggesting.choices import Choice, Choices
from chorus_handbook.warmups.suggesting.stages import Stage
from chorus_handbook.warmups.suggesting.steps import begins, step


def add_opening_up(choices: Choices) -> None:
    """Add these conditions: no step comes after a later one; half-closed sound comes before all
    steps; the first item that needs a voice is gentle and no swell; and after a break open vowels
    come only after a hum that opens. A condition is left out if no candidate could prepare for it.
    """
    program = choices.program
    for further in (2, 3):
        seen: int | None = None
        for here in choices.here:
            back = [one.column for one in here if 0 < _on_the_way(one) < further]
            if seen is not None and back:
                program.at_most({seen: 1} | dict.fromkeys(back, 1), 1)
            now = program.amount()  # 1 from the first place on that has an item of this step
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
    """Add the condition that a choice that is `needing`, unless it is also `preparing`, comes only
    after one that is `preparing`. Adds nothing if no choice is `preparing`."""
    if not any(preparing(one) for one in choices.all):
        return
    before: list[int] = []
    for here in choices.here:
        if needs := [one.column for one in here if needing(one) and not preparing(one)]:
            choices.program.implies(needs, before)
        before += [one.column for one in here if preparing(one)]


def _on_the_way(one: Choice) -> int:
    """The step of a choice; 0 for the last item of the warm-up, where any step may come again."""
    return 0 if one.stage == Stage.CLOSE else step(one.candidate)
