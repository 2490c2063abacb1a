"""Composes the first warm-up and a routine of a new handbook, from exercises that it has."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from chorus_handbook.chorus.model import Family, Vocabulary
from chorus_handbook.entries.model import FrontMatter
from chorus_handbook.entries.warm_up import WARM_UP, Keep, RoutineItem, WarmUpItem
from chorus_handbook.records import Exercise
from chorus_handbook.warmups.draft import draft

_TITLE = "A first evening"
ROUTINE_PATH = "routines/a-few-minutes.md"
#: When the first warm-up starts, for adults and for children, and for how many minutes it may last
#: (our choice).
_STARTS, _CHILDREN_START, _MINUTES = "19:30", "17:00", 20.0
#: The longest item in a warm-up for children, in minutes: common practice.
_CHILDS_MINUTES = 1.25
_CIRCLE = "circle"
#: Formations on which an exercise depends, so that it cannot be sung in a circle instead.
_FIXED = ("facing-pairs", "square")
_WARM_UP_TEXT = """
An example, to change or to delete. `handbook plan` writes the next one.
"""
_ROUTINE_TEXT = """
An example, to change or to delete: a routine has no date, and is sung as it stands.
"""


def warm_up_path(day: date) -> str:
    """The path of the first warm-up, on this day, below the handbook's folder."""
    return WARM_UP.page(f"{day.isoformat()}-a-first-evening")


def first_items(exercises: Mapping[str, Exercise], vocabulary: Vocabulary) -> list[str]:
    """The slugs of the exercises for a first warm-up, in its order: one for each part of a warm-up
    for which there is one. `exercises` are those to choose from, the preferred ones first."""
    items: list[str] = []
    for suits in _parts(vocabulary):
        found = next((s for s, e in exercises.items() if s not in items and suits(e)), None)
        if found:
            items.append(found)
    return items or list(exercises)[:1]


def _parts(vocabulary: Vocabulary) -> Iterable[Callable[[Exercise], bool]]:
    """For each part of a warm-up, a function that tells whether an exercise suits it. The order is
    common practice: from silence to sound, and from one line to several."""

    def family(exercise: Exercise, *families: Family) -> bool:
        """Whether the main goal of the exercise belongs to one of these families."""
        return vocabulary.goals[exercise.front.goals[0]].family in families

    def lines(exercise: Exercise) -> int:
        """How many different lines are sung at the same time; 0 for an exercise without notes."""
        return exercise.facts.parts if exercise.facts else 0

    def early(exercise: Exercise, impact: int) -> bool:
        """Whether it belongs at the beginning of a warm-up and has exactly this impact."""
        front = exercise.front
        return front.moment == "opening" and front.impact == impact and _fits_circle(front)

    def light(exercise: Exercise) -> bool:
        """Whether it is light singing (impact 3) that is learned at once or after a few tries."""
        front = exercise.front
        return front.impact == 3 and (front.level or 3) <= 2 and _fits_circle(front)

    # 1. body
    yield lambda one: early(one, 1) and family(one, "body")
    # 2. breath
    yield lambda one: early(one, 1) and family(one, "breath")
    # 3. gentle sound
    yield lambda one: early(one, 2) and lines(one) == 1
    # 4. light singing in one line, for any goal
    yield lambda one: light(one) and lines(one) == 1 and one.front.moment != "closing"
    # 5. light singing in one line, for the sound
    yield lambda one: light(one) and lines(one) == 1 and family(one, "sound")
    # 6. light singing in several lines
    yield lambda one: light(one) and lines(one) > 1 and one.front.moment == "middle"
    # 7. an end that brings everyone together
    yield (
        lambda one: (
            one.front.moment == "closing" and one.front.impact <= 3 and _fits_circle(one.front)
        )
    )


def _fits_circle(front: FrontMatter) -> bool:
    """Whether an exercise can also be sung in a circle, whatever formation it names."""
    return front.formation not in _FIXED


def warm_up(exercises: Mapping[str, Exercise], day: date, *, children: bool) -> str:
    """The text of a warm-up of these exercises: all but the first in a circle, so that nobody has
    to move often; the first and the last are marked `keep`, as what stays for a season."""
    items: list[RoutineItem] = []
    for slug, exercise in exercises.items():
        most = _CHILDS_MINUTES if children else exercise.front.minutes
        moved = bool(items) and exercise.front.formation not in (_CIRCLE, None)
        items.append(
            WarmUpItem(
                exercise=slug,
                minutes=most if most < exercise.front.minutes else None,
                formation=_CIRCLE if moved else None,
                keep=None if len(exercises) == 1 else _keep(len(items), len(exercises)),
            )
        )
    # A warm-up of the kind "children" is checked more strictly: one of its tunes must begin from
    # above. A single exercise may not meet that, and then there would be no first warm-up at all.
    of_children = children and len(exercises) > 1
    text = draft(
        title=_TITLE,
        date=day.isoformat(),
        starts=_CHILDREN_START if children else _STARTS,
        minutes=_MINUTES,
        items=items,
        further=[("kind", "children")] if of_children else [],
    )
    return text + _WARM_UP_TEXT.lstrip("\n")


def _keep(place: int, count: int) -> Keep | None:
    """The field `keep` of the item at `place` (from 0) of `count` items."""
    return "opener" if place == 0 else "closer" if place == count - 1 else None


def routine(items: Sequence[str]) -> str:
    """The text of a routine of these exercises."""
    lines = [
        "---",
        "title: A few minutes",
        "summary: Short enough to be sung before every rehearsal, without anybody who leads.",
        "items:",
        *(f"  - exercise: {slug}" for slug in items),
        "---",
    ]
    return "\n".join([*lines, _ROUTINE_TEXT.lstrip("\n")])
