"""Which exercises the first warm-up of a new handbook is made of."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from chorus_handbook.starters.plans import first_items

VOCABULARY: Any = SimpleNamespace(goals={"blend": SimpleNamespace(family="ears")})


def closing(formation: str | None) -> Any:
    """An exercise for the end of a warm-up, sung in this formation."""
    front = SimpleNamespace(
        goals=["blend"], impact=2, level=1, moment="closing", formation=formation
    )
    return SimpleNamespace(front=front, facts=None)


def test_the_last_item_can_be_sung_in_a_circle_like_those_before_it() -> None:
    """Everybody stands in a circle from the second item on (`warm_up`)."""
    exercises = {"in-pairs": closing("facing-pairs"), "in-a-square": closing("square")}
    assert first_items({**exercises, "anyhow": closing(None)}, VOCABULARY) == ["anyhow"]
    assert first_items({**exercises, "circle": closing("circle")}, VOCABULARY) == ["circle"]
