"""Which exercises, and which goals of music, are quick, lively or wide.

Python plans by it, and so does the browser, which gets the results in planning.json.
"""

from __future__ import annotations

from collections.abc import Sequence

from chorus_handbook.chorus.model import Vocabulary

#: The goals of quick and lively exercises.
_LIVELY = frozenset({"agility", "rhythm", "energy"})
#: How many of an exercise's first goals say what it is like (our choice: the others are minor).
_TELLING = 2


def is_quick(goals: Sequence[str], vocabulary: Vocabulary) -> bool:
    """Whether an exercise with these goals, in its author's order, is quick, lively or wide."""
    first = vocabulary.goals.get(goals[0]) if goals else None
    reach = bool(first and first.family == "reach")
    return reach or bool(_LIVELY & {*goals[:_TELLING]})


def quick_goals(vocabulary: Vocabulary) -> list[str]:
    """The names of the goals of quick, lively or wide music."""
    return [name for name in vocabulary.goals if is_quick((name,), vocabulary)]


def asks_for_calm(goals: Sequence[str], vocabulary: Vocabulary) -> bool:
    """Whether music with these goals asks for calm: there are goals, and none of them is a goal of
    quick, lively or wide music."""
    return bool(goals) and not {*goals} & {*quick_goals(vocabulary)}
